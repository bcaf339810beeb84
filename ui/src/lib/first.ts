// Help stands beside a word where it is met first on the page, not everywhere: those who would offer it
// are asked which of them that is, whenever one comes, goes, or is folded in or out.
import { useLayoutEffect, useRef, useState } from 'preact/hooks';

interface One { at: HTMLElement; tell: (first: boolean) => void }

const asking = new Map<string, Set<One>>();
let waiting = false;

function settle(): void {
  waiting = false;
  for (const [word, all] of asking) {
    if (!all.size) asking.delete(word);
    const seen = [...all].filter((o) => o.at.checkVisibility?.() !== false);
    const first = seen.reduce<One | null>((a, b) => (a && a.at.compareDocumentPosition(b.at) & Node.DOCUMENT_POSITION_FOLLOWING ? a : b), null);
    for (const o of all) o.tell(o === first);
  }
}

function soon(): void {
  if (waiting) return;
  waiting = true;
  queueMicrotask(settle);
}

/** Is the element the first on the page to offer help with this word? */
export function useFirst(word: string) {
  const ref = useRef<HTMLSpanElement>(null);
  const [first, setFirst] = useState(false);
  useLayoutEffect(() => {
    const one = { at: ref.current!, tell: setFirst };
    const all = asking.get(word) ?? new Set();
    asking.set(word, all.add(one));
    soon();
    return () => {
      all.delete(one);
      soon();
    };
  }, [word]);
  return { ref, first };
}

document.addEventListener('toggle', soon, true);
