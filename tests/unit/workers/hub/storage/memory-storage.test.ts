// The storage in memory keeps the rules of every storage.

import { createMemoryStorage } from "../../../../../workers/hub/storage/memory-storage.ts";
import { checkRecordStorage } from "./record-storage.suite.ts";

let made = 0;

checkRecordStorage(() => {
  made += 1;
  return Promise.resolve(createMemoryStorage(`epoch of storage number ${made}`));
});
