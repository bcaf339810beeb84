// A device asks to be let in: it has the code from the picture, says its name, shows six digits, and
// waits until they were typed at the workshop's computer.
import { useEffect, useState } from 'preact/hooks';
import { Refused, postJson } from '../lib/api';
import { useNow } from '../lib/clock';
import { Form, FormProblem, problemAt, useForm } from '../lib/form';
import { Field } from '../parts/Field';
import { leftText } from '../parts/Devices';
import { Page, Section } from '../parts/Page';

interface Asked { ticket: string; number: string; until: string; wait_s: number }
interface Waited { state: 'pending' | 'paired' | 'refused' | 'lapsed' | 'revoked'; state_text: string }

const KEPT = 'pair:asked'; // a page that is loaded again goes on waiting with the same digits

function keptAsk(): Asked | null {
  try {
    return JSON.parse(sessionStorage.getItem(KEPT) ?? 'null') as Asked | null;
  } catch {
    return null;
  }
}

/** The code stands behind the # so that it is sent to nobody; out of the address bar at once. */
function takeCode(): string {
  const code = location.hash.slice(1);
  if (code) {
    history.replaceState(null, '', location.pathname);
    sessionStorage.removeItem(KEPT);
  }
  return code;
}

export function Pair() {
  const [code, setCode] = useState(takeCode);
  const [asked, setAsked] = useState(keptAsk);
  const [over, setOver] = useState('');
  useEffect(() => {
    const again = () => { setCode(takeCode()); setAsked(null); setOver(''); };
    window.addEventListener('hashchange', again);
    return () => window.removeEventListener('hashchange', again);
  }, []);
  const end = (text: string) => { sessionStorage.removeItem(KEPT); setAsked(null); setCode(''); setOver(text); };
  const begin = (a: Asked) => { sessionStorage.setItem(KEPT, JSON.stringify(a)); setOver(''); setAsked(a); };
  return (
    <Page title="Let this device in" under={<p>To the workshop whose computer you stand at.</p>}>
      {over && <p class="notice warn" role="alert">{over}</p>}
      {asked ? <Waiting asked={asked} onEnd={end} /> : code ? <Ask code={code} onAsked={begin} /> : <NoCode />}
    </Page>
  );
}

function NoCode() {
  return (
    <Section title="A code is needed">
      <p>At the workshop’s computer, open <b>Settings, Devices</b> and make a code. Then point this device’s camera at the picture there and open its address. A code works once, for two minutes.</p>
    </Section>
  );
}

function Ask({ code, onAsked }: { code: string; onAsked: (a: Asked) => void }) {
  const form = useForm('pair', { name: '' });
  const send = () => void form.submit(async () => onAsked(await postJson<Asked>('/api/pair', { code, name: form.values.name ?? '' })));
  const spent = problemAt(form.problem, 'code') !== '';
  return (
    <Form form={form} onSend={send} label="Let this device in" bench>
      <Section title="Its name">
        <Field name="name" label="What is this device called?" example="my phone; it is shown at the computer" />
        <FormProblem />
        {spent && <p>Make a new code at the computer, under Settings, Devices.</p>}
        <p class="actions"><button type="submit" class="button main big" disabled={form.busy}>Ask to be let in</button></p>
      </Section>
    </Form>
  );
}

const ENDED: Record<string, string> = {
  refused: 'This device was turned away at the computer. If that was a slip, make a new code there.',
  lapsed: 'It took too long. Make a new code at the computer and try again.',
  revoked: 'This device was shut out at the computer. To come in again, make a new code there.',
};

function Waiting({ asked, onEnd }: { asked: Asked; onEnd: (text: string) => void }) {
  const now = useNow();
  useEffect(() => {
    let live = true;
    let timer = 0;
    const ask = async () => {
      let wait_s = asked.wait_s || 2;
      try {
        const w = await postJson<Waited>('/api/pair/wait', { ticket: asked.ticket });
        if (!live) return;
        if (w.state === 'paired') {
          sessionStorage.removeItem(KEPT);
          location.replace('/'); // anew, so that everything is asked for with the key just given
          return;
        }
        if (w.state !== 'pending') return onEnd(ENDED[w.state] ?? w.state_text);
      } catch (e) {
        if (!live) return;
        if (e instanceof Refused && e.http !== 429 && e.http < 500) return onEnd(e.message);
        wait_s = Math.max(wait_s, 5); // no answer, or asked too often: a little slower
      }
      timer = window.setTimeout(() => void ask(), wait_s * 1000);
    };
    void ask();
    return () => { live = false; clearTimeout(timer); };
  }, [asked]);
  return (
    <Section title="Type these digits at the computer">
      <p class="pair-number" aria-label={`Number ${asked.number.split('').join(' ')}`} role="img">{asked.number.slice(0, 3)} {asked.number.slice(3)}</p>
      <p>Under Settings, Devices, beside this device’s name. Today opens here by itself once it is let in.</p>
      <p class="quiet">Waiting{leftText(asked.until, now) && `, ${leftText(asked.until, now)} left`}.</p>
      <p class="actions"><button type="button" class="button quiet-button" onClick={() => onEnd('Asking was given up here. A new code is needed to try again.')}>Give up</button></p>
    </Section>
  );
}
