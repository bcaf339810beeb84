// What this device may do: everything, or the bench alone. What the door would refuse is not offered.

let bench = false;

/** `who` is what the door calls us: here, all or bench. */
export function setMay(who: string | undefined): void {
  bench = who === 'bench';
  document.documentElement.dataset.may = bench ? 'bench' : 'all'; // css hides what only others may do
}

export const benchOnly = (): boolean => bench;

/** Pages whose only purpose is to change something beyond the bench. */
export const beyondBench = (path: string): boolean => /\/(new|revise)$/.test(path);
