// Charts are drawn at the width they have, so that their letters keep their size on a phone.
import { useEffect, useRef, useState } from 'preact/hooks';

export function useWidth<T extends HTMLElement>(fallback: number) {
  const ref = useRef<T>(null);
  const [width, setWidth] = useState(fallback);
  useEffect(() => {
    const el = ref.current;
    if (!el) return;
    const watch = new ResizeObserver(() => setWidth(Math.round(el.clientWidth) || fallback));
    watch.observe(el);
    return () => watch.disconnect();
  }, [fallback]);
  return { ref, width };
}
