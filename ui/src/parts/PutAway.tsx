// Putting a recipe away, and taking it out again. Nothing is ever removed.
import { useState } from 'preact/hooks';
import { postJson } from '../lib/api';
import { asProblem } from '../lib/form';
import { newId } from '../lib/ids';
import { answersChanged } from '../lib/live';
import { serverNow } from '../lib/clock';

export function PutAway({ id, name, archived }: { id: string; name: string; archived: boolean }) {
  const [busy, setBusy] = useState(false);
  const [problem, setProblem] = useState('');
  const move = async () => {
    setBusy(true);
    setProblem('');
    try {
      await postJson('/api/archive', { id: newId(serverNow()), thing: id, archived: !archived });
      answersChanged();
    } catch (e) {
      setProblem(asProblem(e).mistakes.map((m) => m.text).join(' '));
    }
    setBusy(false);
  };
  return (
    <>
      <button type="button" class="button quiet-button for-all" disabled={busy} onClick={() => void move()}>{archived ? 'Take it out again' : 'Put it away'}<span class="unseen">: {name}</span></button>
      <span class="quiet" role="status">{problem || (archived ? 'Put away: it is not listed, and nothing of it is lost.' : '')}</span>
    </>
  );
}
