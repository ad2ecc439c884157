// A labelled input: one line, several lines, or a choice of a list.

import type { ComponentChildren } from "preact";
import { useId } from "preact/hooks";
import "./field.css";

type FieldBase = {
  readonly label: string;
  readonly value: string;
  readonly onValue: (value: string) => void;
  readonly hint?: string;
};

/** What a line to type in is made of. */
export type TextFieldProps = FieldBase & {
  readonly lines?: "one" | "many";
  readonly maxLength?: number;
  readonly capitals?: boolean;
  /** What the Enter key does on a single line. */
  readonly onEnter?: () => void;
};

/** A line, or some lines, to type in. */
export function TextField(props: TextFieldProps) {
  const id = useId();
  const shared = {
    id,
    class: "field__input",
    value: props.value,
    maxLength: props.maxLength ?? 500,
    autoComplete: "off",
    autoCapitalize: props.capitals === true ? ("characters" as const) : ("sentences" as const),
    "aria-describedby": props.hint === undefined ? undefined : `${id}-hint`,
    onInput: (event: { readonly currentTarget: { readonly value: string } }) =>
      props.onValue(event.currentTarget.value),
  };
  return (
    <FieldFrame id={id} label={props.label} hint={props.hint}>
      {props.lines === "many" ? (
        <textarea rows={3} {...shared} />
      ) : (
        <input
          type="text"
          {...shared}
          onKeyDown={(event) => {
            if (event.key === "Enter") props.onEnter?.();
          }}
        />
      )}
    </FieldFrame>
  );
}

/** What a choice of a list is made of. */
export type ChoiceFieldProps = FieldBase & {
  readonly choices: readonly { readonly value: string; readonly label: string }[];
};

/** One of a list. */
export function ChoiceField(props: ChoiceFieldProps) {
  const id = useId();
  return (
    <FieldFrame id={id} label={props.label} hint={props.hint}>
      <select
        id={id}
        class="field__input"
        value={props.value}
        aria-describedby={props.hint === undefined ? undefined : `${id}-hint`}
        onChange={(event) => props.onValue(event.currentTarget.value)}
      >
        {props.choices.map((choice) => (
          <option key={choice.value} value={choice.value}>
            {choice.label}
          </option>
        ))}
      </select>
    </FieldFrame>
  );
}

type FieldFrameProps = {
  readonly id: string;
  readonly label: string;
  readonly hint: string | undefined;
  readonly children: ComponentChildren;
};

function FieldFrame({ id, label, hint, children }: FieldFrameProps) {
  return (
    <div class="field">
      <label class="field__label" for={id}>
        {label}
      </label>
      {children}
      {hint === undefined ? null : (
        <span class="field__hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
    </div>
  );
}
