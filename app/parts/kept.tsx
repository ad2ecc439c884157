// A part of a screen that stays as it is drawn while what it is given says the same.
//
// Views are made anew at every tap and every second; without this, so would be all that is drawn.
// It is drawn anew if a property is no longer alike, as `isAlike` has it; a signal that the part reads
// itself draws it anew as well.

import { Component } from "preact";
import type { ComponentType, FunctionComponent } from "preact";
import { isAlike } from "../../machines/base/is-alike.ts";

/**
 * The same part, drawn anew only when it must be.
 *
 * @param Part is given plain objects, and functions and runs that stay the very same
 */
export function kept<Props extends object>(Part: FunctionComponent<Props>): ComponentType<Props> {
  return class Kept extends Component<Props> {
    override shouldComponentUpdate(next: Readonly<Props>): boolean {
      return !isAlike(this.props, next);
    }

    override render() {
      return <Part {...this.props} />;
    }
  };
}
