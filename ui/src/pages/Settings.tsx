// Settings: how numbers are shown, the workshop's habits, and the limits with who set each of them.
import { useState } from 'preact/hooks';
import { postJson } from '../lib/api';
import { useFocusBack } from '../lib/focus';
import { Form, FormProblem, useForm } from '../lib/form';
import { withUnit } from '../lib/guess';
import { answersChanged, useAnswer } from '../lib/live';
import type { Limit, Meta, Setting } from '../lib/types';
import { kindOf, showIn, typedUnits } from '../lib/units';
import { Devices } from '../parts/Devices';
import { ChoiceField, Field } from '../parts/Field';
import { Await, Page, Section } from '../parts/Page';
import { capital } from '../parts/Origin';
import { Worded } from '../parts/Term';
import { said } from '../lib/said';
import { say } from '../lib/say';
import { full } from '../parts/Origin';

export function Settings() {
  const settings = useAnswer<{ settings: Setting[] }>('/api/settings');
  const limits = useAnswer<{ limits: Limit[] }>('/api/limits');
  const meta = useAnswer<Meta>('/api/meta');
  return (
    <Page title="Settings">
      <Section title="Workshop">
        <Await answer={settings}>{({ settings: list }) => <>{list.map((s) => <SettingRow key={s.key + s.value} setting={s} />)}</>}</Await>
      </Section>
      <Section title="Limits" note="a house limit is not a standard">
        <p>Checks hold readings and forecasts against these. Each says who set it and how firmly. Limits of this house and of common practice can be changed; those of a standard or a law cannot.</p>
        <Await answer={limits}>{({ limits: list }) => <ul class="limits">{list.map((l) => <LimitRow key={l.key + l.value} limit={l} />)}</ul>}</Await>
      </Section>
      <Devices />
      <Section title="About">
        <Await answer={meta}>
          {(m) => (
            <dl class="described">
              <div><dt>Version</dt><dd>{m.version}</dd></div>
              <div><dt><Worded>Burn engine</Worded></dt><dd>{m.engine}</dd></div>
              <div><dt>Property tables</dt><dd>{m.tables}</dd></div>
              <div><dt>Database</dt><dd class="path">{m.database}{m.demo ? ' (demo workshop: all of it invented)' : ''}</dd></div>
            </dl>
          )}
        </Await>
        <p class="quiet">Evenpool is free software under the GNU General Public License, version 3 or later. The letters are Atkinson Hyperlegible Next (<a href="/fonts/LICENSE.txt" download>SIL Open Font License</a>).</p>
      </Section>
    </Page>
  );
}

const choices = (s: Setting): string[] => (Array.isArray(s.choices) ? s.choices : (s.choices ?? '').split('|').filter(Boolean));
const WORD: Record<string, string> = { metric: 'mm, g, °C', us: 'in, oz, °F' };

function SettingRow({ setting }: { setting: Setting }) {
  const form = useForm(`setting:${setting.key}`, { value: String(setting.value) });
  const list = choices(setting);
  const send = () => void form.submit(async (id) => {
    await postJson('/api/settings', { id, key: setting.key, value: form.values.value ?? '' });
    say(`${capital(setting.label)} kept.`);
    answersChanged();
  });
  return (
    <Form form={form} onSend={send} label={setting.label}>
      <div class="setting">
        {list.length
          ? <ChoiceField name="value" label={capital(setting.label)} help={setting.help} options={list.map((c) => ({ value: c, label: WORD[c] ?? c }))} />
          : <Field name="value" label={capital(setting.label)} help={setting.help} optional {...(setting.max ? { row: { unit: setting.unit ?? '', min: setting.min ?? 0, max: setting.max, example: `${setting.usual} ${setting.unit}` } } : {})} />}
        {form.values.value !== String(setting.value) && <button type="submit" class="button" disabled={form.busy}>Keep</button>}
      </div>
      <FormProblem />
    </Form>
  );
}

const FREE = ['house', 'practice'];

function LimitRow({ limit: l }: { limit: Limit }) {
  const [editing, setEditing] = useState(false);
  return (
    <li>
      <p class="limit-text">{said(l.text)}</p>
      <p class="limit-value">{showIn(l.value, l.unit)}</p>
      <p class="quiet"><span class={`tag grade-${l.grade}`}>{l.grade}</span> {l.owner}{l.changed ? ' · changed here' : ''}</p>
      {l.source && <p class="quiet limit-source">{full(l.source_text ?? l.source)}</p>}
      {l.source_note && <details class="limit-source"><summary>How it was read<span class="unseen">: {said(l.text)}</span></summary><p class="quiet">{full(said(l.source_note))}</p></details>}
      {FREE.includes(l.grade) && <p class="for-all"><button type="button" class="link" aria-expanded={editing} onClick={() => setEditing(!editing)}>change<span class="unseen"> {said(l.text)}</span></button></p>}
      {editing && <LimitForm limit={l} onDone={() => setEditing(false)} />}
    </li>
  );
}

function LimitForm({ limit: l, onDone }: { limit: Limit; onDone: () => void }) {
  useFocusBack();
  const form = useForm(`limit:${l.key}`, {});
  const kind = kindOf(l.unit);
  const unit = kind ? typedUnits(kind)[0] || l.unit : l.unit;
  const send = () => void form.submit(async (id) => {
    await postJson('/api/limits', { id, key: l.key, value: withUnit(form.values.value ?? '', unit) });
    answersChanged();
    say('The limit is changed.');
    onDone();
  });
  return (
    <Form form={form} onSend={send} label="Change the limit">
      <Field name="value" label={unit ? `New value (${unit})` : 'New value'} row={{ unit: l.unit, min: l.min, max: l.max, example: `${l.value} ${l.unit}`.trim() }} help={`${l.grade}, ${l.owner}`} />
      <FormProblem />
      <p class="actions"><button type="submit" class="button" disabled={form.busy}>Set as this workshop’s own</button> <button type="button" class="button quiet-button" onClick={onDone}>Leave it</button></p>
    </Form>
  );
}
