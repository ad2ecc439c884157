import { expect, test } from "vitest";
import { anotherWindow } from "../../../support/a-database.ts";
import type { Database, SetAside } from "../../../../workers/store/database.ts";
import { aHub } from "../../workers/hub/a-hub.ts";
import { aTablet, openOn } from "../../workers/link/a-tablet.ts";
import { openPage, storeOf, until } from "./a-page.ts";

async function aDesk() {
  const testHub = await aHub();
  const tablet = await aTablet(testHub, "Desk");
  const { run } = await openOn(tablet, testHub);
  tablet.line.isCut = true;
  const live = await openPage(storeOf(testHub, tablet), run);
  const reopen = () => openPage(storeOf(testHub, tablet, anotherWindow(tablet.database)), run);
  return { tablet, run, live, reopen };
}

/** Puts an entry of this device, copied under another seq, aside as a fork. */
async function putAside(database: Database, seq: number): Promise<void> {
  const [entry] = await database.entries.toArray();
  const named = { run: entry!.run, device: entry!.device, seq, digest: String(seq).repeat(64) };
  const row: SetAside = { ...named, reason: "fork", entry: { ...entry!, seq } };
  await database.setAside.put(row);
}

test("[set-aside 1] what the store sets aside shows, and only what is of this run", async () => {
  const { tablet, live } = await aDesk();
  expect(live.setAside.lines.value).toEqual([]);
  await putAside(tablet.database, 7);
  const [row] = await tablet.database.setAside.toArray();
  await tablet.database.setAside.put({ ...row!, run: `${row!.run}x` as never, seq: 8 });
  await until(() => live.setAside.lines.value.length > 0);
  expect(live.setAside.lines.value.map(({ which }) => which)).toEqual(["entry 7"]);
  expect(live.setAside.fileText()).toContain('"reason":"fork"');
});

test("[follow-set-aside 1] what was marked as seen stays so, in another window and after a reload", async () => {
  const { tablet, live, reopen } = await aDesk();
  await putAside(tablet.database, 7);
  await until(() => live.setAside.lines.value.length > 0);
  const keys = live.setAside.lines.value.map(({ key }) => key);
  await live.setAside.markSeen(keys);
  await live.setAside.markSeen(["written-again 2"]);
  const later = await reopen();
  await until(() => later.setAside.seen.value.size === 2);
  expect([...later.setAside.seen.value]).toEqual([...keys, "written-again 2"]);
});

test("[follow-set-aside 2] what has been added to is new again", async () => {
  const { tablet, live } = await aDesk();
  await putAside(tablet.database, 7);
  await until(() => live.setAside.lines.value.length > 0);
  await live.setAside.markSeen(live.setAside.lines.value.map(({ key }) => key));
  await putAside(tablet.database, 8);
  await until(() => live.setAside.lines.value[0]?.which === "entries 7 to 8");
  expect(live.setAside.seen.value.has(live.setAside.lines.value[0]!.key)).toBe(false);
});
