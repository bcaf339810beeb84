// Charts are drawn at the width they have, so that their letters keep their size on a phone.
import { useEffect, useState } from 'preact/hooks';

export function useWidth<T extends HTMLElement>(fallback: number) {
  // the element itself is state: a chart without data yet has none, and gets one later
  const [el, ref] = useState<T | null>(null);
  const [width, setWidth] = useState(fallback);
  useEffect(() => {
    if (!el) return;
    const watch = new ResizeObserver(() => setWidth(Math.round(el.clientWidth) || fallback));
    watch.observe(el);
    return () => watch.disconnect();
  }, [el, fallback]);
  return { ref, width };
}
