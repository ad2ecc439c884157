// A link that saves a text as a file.

import { useEffect, useState } from "preact/hooks";

/** What the file is, and how its text is made. */
export type FileLinkProps = {
  readonly label: string;
  readonly name: string;
  readonly type: string;
  readonly make: () => string;
};

/** The link. Its text is made when it is pressed, so that a long record costs nothing before. */
export function FileLink({ label, name, type, make }: FileLinkProps) {
  const [address, setAddress] = useState<string | null>(null);
  useEffect(
    () => () => {
      if (address !== null) URL.revokeObjectURL(address);
    },
    [address],
  );
  return (
    <a
      class="tap tap--plain"
      href={address ?? "#"}
      download={name}
      onClick={(event) => {
        const made = URL.createObjectURL(new Blob([make()], { type }));
        event.currentTarget.href = made;
        setAddress(made);
      }}
    >
      {label}
    </a>
  );
}
