// What changed without the page changing, for those who hear the page: one quiet line that is always there,
// so that what is put into it is read out.
import { useEffect, useState } from 'preact/hooks';

let line = '';
let turn = 0;
const watchers = new Set<() => void>();

export function say(text: string): void {
  line = text;
  turn++;
  for (const tell of watchers) tell();
}

/** `turn` changes with every call: the same words twice are read out twice. */
export function useLine(): { line: string; turn: number } {
  const [, redraw] = useState(0);
  useEffect(() => {
    const tell = () => redraw(turn);
    watchers.add(tell);
    return () => void watchers.delete(tell);
  }, []);
  return { line, turn };
}
