// Procedures and inject scripts at the hub.

import { expect, test } from "vitest";
import type { InjectScript } from "../../../../../machines/procedure/inject-script.ts";
import {
  readProceduresAnswer,
  readStoredInjectScript,
} from "../../../../../machines/sync/procedures.ts";
import { bringDocuments } from "../../../../../workers/hub/bring-documents.ts";
import { demoInjectScripts, demoProcedures } from "../../../../../workers/hub/demo-documents.ts";
import { storedProcedure } from "../../../../../workers/hub/routes/procedures.ts";
import { createMemoryStorage } from "../../../../../workers/hub/storage/memory-storage.ts";
import { aProcedure } from "../../../../support/a-procedure.ts";
import { aHub, openRun, refusalOf, run } from "../a-hub.ts";

const revisionB = aProcedure({ revision: "B" });
const { identity, text } = storedProcedure(revisionB);
const script: InjectScript = {
  format: "lanehold.inject-script",
  formatVersion: 1,
  title: "Cases",
  procedureId: aProcedure().id,
  injects: [],
};

test("[procedures-route 1] a procedure is sent, listed first, and comes back", async () => {
  const { ask, dump } = await aHub();
  const path = `/api/procedures/${identity}`;
  const sent = await ask("PUT", path, { body: JSON.stringify(revisionB, null, 2) });
  expect(sent.status).toBe(200);
  const before = dump();
  expect((await ask("PUT", path, { body: text })).status).toBe(200);
  expect(dump()).toBe(before);
  const { value } = readProceduresAnswer(await (await ask("GET", "/api/procedures")).json());
  expect(value?.procedures.map(({ revision }) => revision)).toEqual(["B", "A"]);
  const back = await ask("GET", path);
  expect(await back.text()).toBe(text);
  expect(back.headers.get("cache-control")).toContain("immutable");
});

test("[procedures-route 1] a damaged, newer or misnamed procedure changes nothing", async () => {
  const { ask, dump } = await aHub();
  const before = dump();
  const path = `/api/procedures/${identity}`;
  const cases = [
    { body: text.slice(0, -1), status: 400, code: "procedure-faulty", fault: "not-json" },
    {
      body: JSON.stringify({ ...revisionB, formatVersion: 99 }),
      status: 400,
      code: "procedure-faulty",
      fault: "newer-version",
    },
    {
      body: JSON.stringify({ ...revisionB, title: 7 }),
      status: 400,
      code: "procedure-faulty",
      fault: "wrong-type",
    },
    { body: JSON.stringify(aProcedure()), status: 409, code: "identity-wrong", fault: null },
  ];
  for (const { body, status, code, fault } of cases) {
    const answer = await ask("PUT", path, { body });
    expect(answer.status).toBe(status);
    const refusal = await refusalOf(answer);
    expect(refusal.code).toBe(code);
    expect(refusal.faults.map((one) => one.code)).toEqual(fault === null ? [] : [fault]);
  }
  expect(dump()).toBe(before);
  expect((await refusalOf(await ask("GET", path))).code).toBe("procedure-unknown");
});

test("[inject-script-route 1] a director's device gets the script of its run's procedure", async () => {
  const testHub = await aHub();
  await bringDocuments(testHub.hub.storage, { procedures: [], injectScripts: [script] });
  const { token } = await openRun(testHub);
  const answer = await testHub.ask("GET", `/api/runs/${run}/inject-script`, { token });
  const { value, faults } = readStoredInjectScript(await answer.json());
  expect(faults).toEqual([]);
  expect(value?.script).toEqual(script);
});

test("[bring-documents 1] what has a fault is told and not kept, the rest is", async () => {
  const storage = createMemoryStorage("epoch");
  const faults = await bringDocuments(storage, {
    procedures: [{ format: "something else" }, aProcedure()],
    injectScripts: [{ ...script, injects: 7 }, script],
  });
  expect(faults.map(({ path }) => path)).toEqual(["/format", "/injects"]);
  expect(await storage.listProcedures()).toHaveLength(1);
  expect((await storage.readInjectScript(script.procedureId))?.text).toContain("Cases");
});

test("[bring-documents 1] every document that the hub brings along reads without a fault", async () => {
  const storage = createMemoryStorage("epoch");
  const documents = { procedures: demoProcedures, injectScripts: demoInjectScripts };
  expect(await bringDocuments(storage, documents)).toEqual([]);
  expect(await storage.listProcedures()).toHaveLength(demoProcedures.length);
  for (const { id } of await storage.listProcedures()) {
    expect(await storage.readInjectScript(id)).not.toBeNull();
  }
});
