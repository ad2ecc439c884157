// Letters that are read out or compared by eye: a code to type, or a device's check letters.

import "./letters.css";

/** The letters, "KLMN-PQRS", and what they are, for a screen reader, which spells them. */
export type LettersProps = {
  readonly text: string;
  /** `code`: large, to be read across a room; `check`: to be compared; `beside`: within a line. */
  readonly look: "code" | "check" | "beside";
};

/** Letters in groups of four, spelled for whoever does not see them. */
export function Letters({ text, look }: LettersProps) {
  return (
    <span class={`letters letters--${look}`} data-letters={text}>
      <span aria-hidden="true">
        {text.split(/(?<=-)/).map((group, place) => (
          <span key={place} class="letters__group">
            {group}
          </span>
        ))}
      </span>
      <span class="unseen">{spelled(text)}</span>
    </span>
  );
}

/** Letters for a voice: each by itself, with a pause between the groups. */
export function spelled(text: string): string {
  return text
    .split("-")
    .map((group) => group.split("").join(" "))
    .join(", ");
}
