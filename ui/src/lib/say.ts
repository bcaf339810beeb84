// What changed without the page changing, for those who hear the page: one quiet line that is always there,
// so that what is put into it is read out.
import { bell, useWatched } from './watch';

let said = { line: '', turn: 0 };
const changed = bell();

export function say(text: string): void {
  said = { line: text, turn: said.turn + 1 };
  changed.ring();
}

/** `turn` changes with every call: the same words twice are read out twice. */
export const useLine = (): { line: string; turn: number } => useWatched(changed, () => said);
