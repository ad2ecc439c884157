// A new version of the app: it waits until a person says that it may take over.
//
// [app-update 1] Nothing but `takeUpdate` makes a waiting version take over while a page is open.
// [app-update 2] The page that is under the first version ever is not told of an update.

import type { PageMessage } from "./messages.ts";

/**
 * Tells when a new version waits, now or later.
 *
 * @param container the page's `navigator.serviceWorker`
 * Errors: none.
 */
export function watchUpdate(
  container: Pick<ServiceWorkerContainer, "controller">,
  registration: ServiceWorkerRegistration,
  onReady: () => void,
): void {
  const tellIfWaiting = (): void => {
    if (registration.waiting !== null && container.controller !== null) onReady();
  };
  registration.addEventListener("updatefound", () => {
    const installing = registration.installing;
    installing?.addEventListener("statechange", tellIfWaiting);
  });
  tellIfWaiting();
}

/**
 * Makes the waiting version take over. The page has to be loaded anew on `controllerchange`.
 *
 * @returns whether one was waiting
 * Errors: none.
 */
export function takeUpdate(registration: ServiceWorkerRegistration): boolean {
  const message: PageMessage = { type: "update.take" };
  registration.waiting?.postMessage(message);
  return registration.waiting !== null;
}
