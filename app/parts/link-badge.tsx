// Where this device's taps are: saved here, and how many the hub has not confirmed.

import type { LinkState } from "../live/live-run.ts";
import { timeOfDay } from "./age.tsx";
import "./link-badge.css";

/** How this device stands with the hub, in words. */
export function LinkBadge({ link }: { readonly link: LinkState }) {
  return (
    <span
      class={`link-badge link-badge--${link.hub}`}
      data-link={link.hub}
      data-unsent={link.unsent}
    >
      <span class="link-badge__sign" aria-hidden="true" />
      <span>{hubWords(link)}</span>
      {link.unsent === 0 ? null : <span>{unsentWords(link)}</span>}
    </span>
  );
}

// What goes by bundles is not confirmed by anybody.
function unsentWords({ hub, unsent }: LinkState): string {
  return hub === "none" ? `Saved here · ${unsent} by this device` : `Saved here · ${unsent} unsent`;
}

function hubWords(link: LinkState): string {
  if (link.hub === "none") return "By bundles only";
  if (link.hub === "online") return link.unsent === 0 ? "Saved at the hub" : "Hub reached";
  if (link.hub === "unknown") return "Looking for the hub";
  if (link.lastContactMs === null) return "No hub reached yet";
  return `Offline since ${timeOfDay(link.lastContactMs)}`;
}
