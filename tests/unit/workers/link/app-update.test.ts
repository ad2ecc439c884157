import { expect, test } from "vitest";
import { takeUpdate, watchUpdate } from "../../../../workers/link/app-update.ts";

// What the browser keeps of a service worker, as far as it is used.
class FakeRegistration extends EventTarget {
  waiting: FakeWorker | null = null;
  installing: FakeWorker | null = null;
}

class FakeWorker extends EventTarget {
  readonly messages: unknown[] = [];
  postMessage(message: unknown): void {
    this.messages.push(message);
  }
}

function watch(registration: FakeRegistration, controller: FakeWorker | null): () => number {
  let times = 0;
  const container = { controller } as unknown as ServiceWorkerContainer;
  watchUpdate(container, registration as unknown as ServiceWorkerRegistration, () => {
    times += 1;
  });
  return () => times;
}

function install(registration: FakeRegistration): void {
  const worker = new FakeWorker();
  registration.installing = worker;
  registration.dispatchEvent(new Event("updatefound"));
  registration.installing = null;
  registration.waiting = worker;
  worker.dispatchEvent(new Event("statechange"));
}

test("[app-update 2] the first version ever is no update", () => {
  const registration = new FakeRegistration();
  const told = watch(registration, null);
  install(registration);
  expect(told()).toBe(0);
});

test("[app-update 1] a newer version is told of, and takes over only when it is told to", () => {
  const registration = new FakeRegistration();
  const told = watch(registration, new FakeWorker());
  expect(told()).toBe(0);
  install(registration);
  expect(told()).toBe(1);
  const { waiting } = registration;
  expect(waiting!.messages).toEqual([]);
  expect(takeUpdate(registration as unknown as ServiceWorkerRegistration)).toBe(true);
  expect(waiting!.messages).toEqual([{ type: "update.take" }]);
});

test("[app-update 1] a version that waited before the page was opened is told of", () => {
  const registration = new FakeRegistration();
  registration.waiting = new FakeWorker();
  expect(watch(registration, new FakeWorker())()).toBe(1);
});

test("[app-update 1] with nothing waiting, there is nothing to take", () => {
  expect(takeUpdate(new FakeRegistration() as unknown as ServiceWorkerRegistration)).toBe(false);
});
