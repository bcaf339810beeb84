// Settings: the phones and helpers let into the workshop. Made for the computer itself; a device with
// every right sees the list and may shut others out, one for the bench sees only what it is.
import { useState } from 'preact/hooks';
import { postJson } from '../lib/api';
import { serverNow, useNow } from '../lib/clock';
import { asProblem, Form, FormProblem, problemAt, spoken, useForm } from '../lib/form';
import { newId } from '../lib/ids';
import { answersChanged, useAnswer } from '../lib/live';
import type { Meta } from '../lib/types';
import { atTime, onDate } from '../lib/when';
import { ChoiceField, Field } from './Field';
import { KeptPages } from './KeptPages';
import { Await, Section } from './Page';
import { Pictured, type Address } from './Pictured';
import { Encrypted, Trust } from './Trust';

interface Device {
  id: string; name: string; role: 'bench' | 'all'; state: string; state_text: string; asked_at: string | null; until: string | null;
  tries_left: number | null; confirmed_at: string | null; last_seen_at: string | null;
}
interface Invite { id: string; role: 'bench' | 'all'; path: string; now: string; until: string; urls: Address[]; note?: string }

const MAY = { bench: 'the bench: sees everything, lights, reads, weighs, puts out', all: 'everything, except letting others in' };

/** "1:45" until a time; empty when it is over. */
export function leftText(until: string | null, now: number): string {
  const s = Math.ceil((Date.parse(until ?? '') - now) / 1000);
  return s > 0 ? `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}` : '';
}

export function Devices() {
  const meta = useAnswer<Meta>('/api/meta');
  return (
    <Section title="Devices" id="devices" note="phones and helpers at the bench">
      <Await answer={meta}>{(m) => <ByWho meta={m} />}</Await>
      <KeptPages />
    </Section>
  );
}

function ByWho({ meta }: { meta: Meta }) {
  const door = meta.door;
  if (!door) return <p class="quiet">This program does not say who is asking.</p>;
  if (door.who === 'bench') return <p>This device is let in as <b>{door.device?.name}</b>, for {MAY.bench}. More is decided at the workshop’s computer.</p>;
  const here = door.who === 'here';
  return (
    <>
      {!door.lan && <p>This workshop answers its own computer only. To use a phone at the bench, stop it and start it with <code class="command">evenpool serve --lan</code>.</p>}
      {here && door.trust && <Trust trust={door.trust} />}
      {door.lan && here && <InviteOne />}
      {door.lan && !here && <p>Others are let in at the workshop’s computer.</p>}
      <ListOf here={here} />
      {door.trust ? <Encrypted trust={door.trust} /> : <Plainly phone={meta.phone} />}
    </>
  );
}

function InviteOne() {
  const form = useForm('device:invite', { role: 'bench' });
  const [invite, setInvite] = useState<Invite | null>(null);
  const send = () => void form.submit(async () => setInvite(await postJson<Invite>('/api/devices/invite', { role: form.values.role ?? 'bench' })));
  return (
    <>
      <Form form={form} onSend={send} label="Let a device in">
        <ChoiceField name="role" label="It may do" options={[{ value: 'bench', label: 'The bench only' }, { value: 'all', label: 'Everything' }]}
          help={`The bench: ${MAY.bench.slice(11)}. Everything: describe, pour and decide too; letting others in stays here.`} />
        <FormProblem />
        <p class="actions"><button type="submit" class="button main" disabled={form.busy}>{invite ? 'Make another code' : 'Make a code for a device'}</button></p>
      </Form>
      {invite && <Picture key={invite.id} invite={invite} onOver={() => setInvite(null)} />}
    </>
  );
}

function Picture({ invite, onOver }: { invite: Invite; onOver: () => void }) {
  const now = useNow();
  const list = useAnswer<{ devices: Device[]; pending: Device[] }>('/api/devices');
  const left = leftText(invite.until, now);
  const used = list.data && [...list.data.devices, ...list.data.pending].some((d) => Date.parse(d.asked_at ?? '') >= Date.parse(invite.now));
  if (used) return null;
  if (!left) return <p class="notice warn" role="status">The code has run out. <button type="button" class="link" onClick={onOver}>Put it away</button></p>;
  if (!invite.urls.length) return <p class="notice warn" role="status">{invite.note ?? 'This computer has no address in a network just now. Connect it, then make a new code.'}</p>;
  return (
    <Pictured urls={invite.urls}>
      <p class="invite-left"><b>{left}</b> left; good once</p>
      <p>Point the device’s camera at the picture and open the address. It asks for a name and shows six digits: type them here.</p>
      {invite.note && <p class="quiet">{invite.note}</p>}
    </Pictured>
  );
}

function ListOf({ here }: { here: boolean }) {
  const list = useAnswer<{ devices: Device[]; pending: Device[] }>('/api/devices', 5000);
  const now = useNow(5000);
  return (
    <Await answer={list}>
      {({ devices, pending }) => (
        <>
          {pending.map((d) => <Pending key={d.id} device={d} here={here} />)}
          <h3 class="devices-title">Let in</h3>
          {!devices.length && <p class="quiet">No device yet.</p>}
          <ul class="devices">
            {devices.map((d) => (
              <li key={d.id}>
                <div>
                  <p><b>{d.name}</b></p>
                  <p class="quiet">May use {MAY[d.role]}. {d.confirmed_at && `Let in ${onDate(d.confirmed_at)}. `}{d.last_seen_at ? `Last seen ${atTime(d.last_seen_at, now)}.` : 'Not seen since.'}</p>
                </div>
                <Revoke device={d} word="Shut it out" sure={`Shut ${d.name} out now`} />
              </li>
            ))}
          </ul>
        </>
      )}
    </Await>
  );
}

function Pending({ device: d, here }: { device: Device; here: boolean }) {
  const form = useForm(`device:confirm:${d.id}`, { number: '' });
  const now = useNow();
  const send = () => void form.submit(async () => {
    try {
      await postJson<Device>(`/api/devices/${d.id}/confirm`, { number: (form.values.number ?? '').replace(/\s/g, '') });
    } finally {
      answersChanged();
    }
  });
  const left = leftText(d.until, now);
  return (
    <div class="sheet device-asks">
      <p><b>{d.name}</b> asks to be let in, for {MAY[d.role]}.{left && ` ${left}\u00a0left.`}</p>
      {here ? (
        <Form form={form} onSend={send} label={`Let ${d.name} in`}>
          <Field name="number" label="The six digits on its screen" help="If this is not the device in your hand, type nothing and turn it away." />
          {!problemAt(form.problem, 'number') && <FormProblem />}
          <p class="actions"><button type="submit" class="button main" disabled={form.busy}>Let it in</button> <Revoke device={d} word="Turn it away" sure="Turn it away now" /></p>
        </Form>
      ) : <p class="actions"><Revoke device={d} word="Turn it away" sure="Turn it away now" /></p>}
    </div>
  );
}

function Revoke({ device, word, sure }: { device: Device; word: string; sure: string }) {
  const [asked, setAsked] = useState(false);
  const [problem, setProblem] = useState('');
  const [busy, setBusy] = useState(false);
  const revoke = async () => {
    setBusy(true);
    try {
      await postJson<Device>(`/api/devices/${device.id}/revoke`, { request_id: newId(serverNow()) });
      answersChanged();
    } catch (e) {
      setProblem(asProblem(e).mistakes.map((m) => m.text).join(' '));
      setBusy(false);
    }
  };
  return (
    <span class="revoke">
      {!asked && <button type="button" class="button small quiet-button" onClick={() => setAsked(true)}>{word}<span class="unseen">: {device.name}</span></button>}
      {asked && <button type="button" class="button small stop-button" disabled={busy} onClick={() => void revoke()}>{sure}</button>}
      {asked && <button type="button" class="button small quiet-button" disabled={busy} onClick={() => setAsked(false)}>Leave it</button>}
      {problem && <span class="field-problem" role="alert">{spoken(problem)}</span>}
    </span>
  );
}

function Plainly({ phone }: { phone: Meta['phone'] }) {
  if (!phone) return null;
  const parts: [string, string[]][] = [['Who could listen in', phone.seen], ['Where to use it, and where not', phone.when], ['What a phone cannot do here', phone.without]];
  return (
    <details class="plainly">
      <summary>Plain http: what others in the network could see</summary>
      {parts.map(([title, list]) => <div key={title}><h3>{title}</h3><ul>{list.map((t) => <li key={t}>{t}</li>)}</ul></div>)}
      <p class="quiet later">{phone.later}</p>
    </details>
  );
}
