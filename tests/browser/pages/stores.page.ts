// What a device's browser has stored of the app, as whoever opens the tablet's own memory would find it.

import type { Device } from "./device.page.ts";

/** Everything that the page's origin has stored, as text: databases and caches. */
export async function textOfStores({ page }: Device): Promise<string> {
  return page.evaluate(async () => {
    const texts: string[] = [];
    for (const { name } of await indexedDB.databases()) {
      const opening = indexedDB.open(name ?? "");
      const database = await new Promise<IDBDatabase>((resolve, reject) => {
        opening.addEventListener("success", () => resolve(opening.result));
        opening.addEventListener("error", () => reject(new Error("The database does not open.")));
      });
      for (const store of database.objectStoreNames) {
        const reading = database.transaction(store).objectStore(store).getAll();
        await new Promise((resolve) => reading.addEventListener("success", resolve));
        texts.push(JSON.stringify(reading.result));
      }
      database.close();
    }
    for (const name of await caches.keys()) {
      const cache = await caches.open(name);
      for (const request of await cache.keys())
        texts.push((await (await cache.match(request))?.text()) ?? "");
    }
    return texts.join("\n");
  });
}
