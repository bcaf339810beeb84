// Sound and vibration when readings are due. A browser lets a page sound only after it was touched
// once; until then the page says so. A phone that sleeps rings when it is woken.

import { bell } from './watch';

const KEY = 'bench:sound';
const RUNG = 'bench:rung';

let audio: AudioContext | null = null;
let lock: { release: () => Promise<void> } | null = null;
export const soundChanged = bell();

export const soundOn = (): boolean => localStorage.getItem(KEY) !== 'off';

/** May it be heard? Not before the page was touched. */
export const canSound = (): boolean => audio?.state === 'running';

export function setSound(on: boolean): void {
  localStorage.setItem(KEY, on ? 'on' : 'off');
  if (on) beep([660]);
  soundChanged.ring();
}

/** The first touch or key lets the page sound. */
export function readyOnTouch(): void {
  const wake = () => {
    audio ??= typeof AudioContext === 'undefined' ? null : new AudioContext();
    void audio?.resume().then(soundChanged.ring);
    if (canSound() || !audio) for (const kind of ['pointerdown', 'keydown']) removeEventListener(kind, wake);
  };
  for (const kind of ['pointerdown', 'keydown']) addEventListener(kind, wake);
}

function beep(tones: number[]): void {
  if (!audio || audio.state !== 'running') return;
  tones.forEach((hz, i) => {
    const from = audio!.currentTime + 0.28 * i;
    const tone = audio!.createOscillator();
    const gain = audio!.createGain();
    tone.frequency.value = hz;
    gain.gain.setValueAtTime(0.0001, from);
    gain.gain.exponentialRampToValueAtTime(0.35, from + 0.03);
    gain.gain.exponentialRampToValueAtTime(0.0001, from + 0.22);
    tone.connect(gain).connect(audio!.destination);
    tone.start(from);
    tone.stop(from + 0.25);
  });
}

/** Once for each moment, also over reloads: `what` names it, such as a session and its minute. */
export function ring(what: string, urgent = false): boolean {
  const rung = (localStorage.getItem(RUNG) ?? '').split(' ');
  if (rung.includes(what)) return false;
  localStorage.setItem(RUNG, [...rung.slice(-40), what].join(' ').trim());
  if (!soundOn()) return true;
  // a page never touched may not buzz either
  if (navigator.userActivation?.hasBeenActive !== false) navigator.vibrate?.(urgent ? [400, 120, 400, 120, 400] : [250, 120, 250]);
  beep(urgent ? [880, 660, 880, 660, 880] : [660, 880, 660]);
  return true;
}

/** While candles burn the screen stays on, where the browser allows it. */
export async function keepAwake(on: boolean): Promise<void> {
  try {
    if (on && !lock && !document.hidden) lock = (await (navigator as { wakeLock?: { request: (t: 'screen') => Promise<{ release: () => Promise<void> }> } }).wakeLock?.request('screen')) ?? null;
    if (!on && lock) {
      await lock.release();
      lock = null;
    }
  } catch {
    lock = null; // low battery, or not allowed here: the reminder still rings when it is woken
  }
  if (document.hidden) lock = null; // the browser lets go of it by itself
}
