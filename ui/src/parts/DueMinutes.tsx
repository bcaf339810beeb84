// When readings of this recipe are due: its own minutes, or the workshop's.
import { postJson } from '../lib/api';
import { Form, FormProblem, useForm } from '../lib/form';
import { answersChanged } from '../lib/live';
import { say } from '../lib/say';
import type { Recipe } from '../lib/types';
import { Field } from './Field';

export function DueMinutes({ recipe }: { recipe: Recipe }) {
  const form = useForm(`due:${recipe.id}`, { minutes: recipe.due_minutes });
  const typed = (form.values.minutes ?? '').trim();
  const send = (minutes: string | null) => void form.submit(async (id) => {
    await postJson(`/api/recipes/${recipe.id}/due`, minutes === null ? { request_id: id } : { request_id: id, minutes });
    say(minutes === null ? 'The minutes of the workshop hold again.' : 'The minutes of this recipe are kept.');
    answersChanged();
  });
  return (
    <Form form={form} onSend={() => send(typed)} label="When readings are due">
      <p>{recipe.due_own ? 'Minutes of this recipe’s own.' : <>The workshop’s minutes, as in <a href="/settings">Settings</a>. A wick that is quick or slow may want its own.</>} The end of a session is always due.</p>
      <Field name="minutes" label="Minutes after lighting" example="5, 30, 60, 120" />
      <FormProblem />
      <p class="actions for-all">
        <button type="submit" class="button" disabled={form.busy || !typed || (recipe.due_own && typed === recipe.due_minutes)}>Keep for this recipe</button>
        {recipe.due_own && <button type="button" class="button quiet-button" disabled={form.busy} onClick={() => send(null)}>As in the workshop</button>}
      </p>
    </Form>
  );
}
