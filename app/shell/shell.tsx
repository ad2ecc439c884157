// The frame of every screen: where the person is, what stands over it, what stands under it.

import { useShelf } from "../live/use-shelf.ts";
import "../look/tokens.css";
import "../look/base.css";
import { showTheme } from "../look/theme.ts";
import { Announcer } from "../parts/announce.tsx";
import { Notice } from "../parts/notice.tsx";
import { PlanScreen } from "../plan/plan.tsx";
import { ShelfScreen } from "../shelf/shelf.tsx";
import { AboutPage } from "./about-page.tsx";
import { FrameMark, ThemeSwitch } from "./frame-parts.tsx";
import { forgetInvitation, invitation, place } from "./place.ts";
import type { Route } from "./route.ts";
import { RunFrame } from "./run-frame.tsx";
import "./shell.css";
import { UpdateBar } from "./update-bar.tsx";

showTheme();

/** The whole app. */
export function Shell() {
  const at = place.value;
  return (
    <>
      <a class="skip" href="#main" onClick={skipToMain}>
        Skip to the content
      </a>
      {at.at === "run" ? <RunFrame key={at.run} at={at} /> : <QuietFrame at={at} />}
      <Announcer />
    </>
  );
}

// The hash is the router's, so the link must not change it.
function skipToMain(event: Event): void {
  event.preventDefault();
  document.querySelector<HTMLElement>("main")?.focus();
}

// Shelf, plan and about: no run, no real stop to call.
function QuietFrame({ at }: { readonly at: Exclude<Route, { readonly at: "run" }> }) {
  const opening = useShelf();
  const page = at.at;
  return (
    <div class="frame">
      <header class="frame__head">
        <div class="frame__brand">
          <FrameMark />
          <h1>Lanehold</h1>
        </div>
        <nav class="tabs" aria-label="Pages">
          <a class="tab" href="#/shelf" aria-current={page === "shelf" ? "page" : undefined}>
            Shelf
          </a>
          <a class="tab" href="#/about" aria-current={page === "about" ? "page" : undefined}>
            About
          </a>
        </nav>
      </header>
      <div>{opening.state === "open" ? <UpdateBar shelf={opening.shelf} /> : null}</div>
      <main class="frame__main" id="main" tabIndex={-1}>
        {page === "about" ? (
          <AboutPage shelf={opening.state === "open" ? opening.shelf : null} />
        ) : null}
        {page === "shelf" && opening.state === "open" ? (
          <ShelfScreen
            shelf={opening.shelf}
            link={invitation.value}
            onLinkTaken={forgetInvitation}
          />
        ) : null}
        {at.at === "plan" && opening.state === "open" ? (
          <PlanScreen key={at.procedure} shelf={opening.shelf} procedure={at.procedure} />
        ) : null}
        {page !== "about" && opening.state === "opening" ? (
          <p role="status">Opening what is on this device…</p>
        ) : null}
        {page !== "about" && opening.state === "failed" ? (
          <Notice title={opening.refusal.says} tone="against" role="alert">
            <p>{opening.refusal.mend}</p>
            <p>
              <a href="#/about">See whether this browser is ready</a>
            </p>
          </Notice>
        ) : null}
      </main>
      <footer class="frame__foot">
        <ThemeSwitch />
      </footer>
    </div>
  );
}
