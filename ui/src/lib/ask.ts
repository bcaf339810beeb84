// Questions that follow a moving finger: one at a time, the newest next, what is overtaken is dropped.
// A quick answer on its way is waited for, or nothing would ever be shown while the finger moves; a
// slow one is given up, here and at the door, which is told the number of every question.
import { useEffect, useRef, useState } from 'preact/hooks';
import { Dropped, getJson, withQuery } from './api';
import { newId } from './ids';
import type { WhatIf } from './types';

const PATIENCE_MS = 300;
const WAIT_MS = 120000;

export type Changes = Record<string, string>;
export interface Question { path: string; query: Record<string, string | number>; fine: boolean }

interface Flight { question: Question; since: number; give_up: AbortController }

class Asker {
  private readonly id = newId();
  private turn = 0;
  private flight: Flight | null = null;
  private next: Question | null = null;

  constructor(private readonly told: (answer: WhatIf | null, error: Error | null, question: Question, ms: number) => void) {}

  ask(question: Question): void {
    this.next = question;
    if (!this.flight) this.start();
    else if (this.flight.question.fine || performance.now() - this.flight.since > PATIENCE_MS) this.flight.give_up.abort();
  }

  /** Something newer than the answer just told is still to come. */
  get more(): boolean {
    return this.next !== null;
  }

  forget(): void {
    this.next = null;
    this.flight?.give_up.abort();
  }

  private start(): void {
    const question = this.next;
    if (!question) return;
    this.next = null;
    const flight = { question, since: performance.now(), give_up: new AbortController() };
    this.flight = flight;
    const path = withQuery(question.path, { ...question.query, asker: this.id, turn: ++this.turn });
    getJson<WhatIf>(path, WAIT_MS, flight.give_up.signal)
      .then((answer) => this.told(answer, null, question, performance.now() - flight.since), (e: unknown) => {
        if (!(e instanceof Dropped)) this.told(null, e instanceof Error ? e : new Error(String(e)), question, 0);
      })
      .finally(() => {
        this.flight = null;
        this.start();
      });
  }
}

export interface Answered { answer: WhatIf | null; error: Error | null; busy: boolean; fine: boolean; ms: number; key: string }
const NOTHING: Answered = { answer: null, error: null, busy: false, fine: false, ms: 0, key: '' };

/** Asks whenever `question` changes; null asks nothing. The last answer stays until the next is there. */
export function useAsked(question: Question | null): Answered {
  const [state, setState] = useState<Answered>(NOTHING);
  const asker = useRef<Asker | null>(null);
  asker.current ??= new Asker((answer, error, q, ms) => setState((s) =>
    ({ answer: answer ?? s.answer, error, busy: asker.current!.more, fine: answer ? q.fine : s.fine, ms: answer ? ms : s.ms, key: answer ? JSON.stringify(q.query) : s.key })));
  const key = question && JSON.stringify(question);
  useEffect(() => {
    if (!question) {
      asker.current!.forget();
      setState(NOTHING);
      return;
    }
    setState((s) => ({ ...s, busy: true }));
    asker.current!.ask(question);
  }, [key]);
  useEffect(() => () => asker.current?.forget(), []);
  return state;
}
