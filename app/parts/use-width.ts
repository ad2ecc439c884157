// Hook: how wide an element is, in CSS px, as it changes.

import type { RefObject } from "preact";
import { useLayoutEffect, useState } from "preact/hooks";

/** The element's inner width; `widthAtFirst` until it was measured. */
export function useWidth(ref: RefObject<HTMLElement | null>, widthAtFirst: number): number {
  const [width, setWidth] = useState(widthAtFirst);
  useLayoutEffect(() => {
    const element = ref.current;
    if (element === null) return undefined;
    const measure = () => {
      if (element.clientWidth > 0) setWidth(element.clientWidth);
    };
    measure();
    const observer = new ResizeObserver(measure);
    observer.observe(element);
    return () => observer.disconnect();
  }, [ref]);
  return width;
}
