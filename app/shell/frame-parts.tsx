// Small things of the frame: the mark, the switch between day and night.

import type { Theme } from "../look/theme.ts";
import { setTheme, theme } from "../look/theme.ts";
import { TapButton } from "../parts/tap-button.tsx";

/** The mark: two lanes and a meet, held between landing marks. */
export function FrameMark() {
  return (
    <svg class="frame__mark" viewBox="0 0 40 40" aria-hidden="true" focusable="false">
      <path
        d="M2 10 V2 H10 M30 2 H38 V10 M38 30 V38 H30 M10 38 H2 V30"
        fill="none"
        stroke="currentColor"
        stroke-width="3"
      />
      <path d="M14 7 V33" stroke="currentColor" stroke-width="5" />
      <path d="M26 7 V33" stroke="currentColor" stroke-width="5" stroke-dasharray="5 3" />
      <path d="M14 22 H26" stroke="currentColor" stroke-width="4" />
    </svg>
  );
}

const themes: readonly { readonly theme: Theme; readonly name: string }[] = [
  { theme: "device", name: "As the device" },
  { theme: "day", name: "Day" },
  { theme: "night", name: "Night" },
];

/** Day, night, or as the device has it. */
export function ThemeSwitch() {
  return (
    <div class="taps" role="group" aria-label="Day or night">
      {themes.map((one) => (
        <TapButton
          key={one.theme}
          tone={theme.value === one.theme ? "chosen" : "plain"}
          pressed={theme.value === one.theme}
          onTap={() => setTheme(one.theme)}
        >
          {one.name}
        </TapButton>
      ))}
    </div>
  );
}
