// With https on: how a device is told to trust the workshop before it is let in, and what that covers.
import { KEEP_DAYS, useAnswer } from '../lib/live';
import type { Meta } from '../lib/types';
import { onDate } from '../lib/when';
import { Pictured } from './Pictured';

type Told = NonNullable<NonNullable<Meta['door']>['trust']>;

/** Eight pairs to a line: a phone breaks the number elsewhere, and pairs are easier to follow in short lines. */
function Fingerprint({ text }: { text: string }) {
  const pairs = text.split(':');
  const lines = [0, 8, 16, 24].map((at) => pairs.slice(at, at + 8).join(' '));
  return <code class="fingerprint">{lines.map((l) => <span key={l}>{l} </span>)}</code>;
}

/** Open until a first device is in: then it is one more device's business, and out of the way. */
export function Trust({ trust }: { trust: Told }) {
  const list = useAnswer<{ devices: unknown[] }>('/api/devices');
  if (!list.data && !list.error) return null;
  return (
    <details class="plainly" open={!list.data?.devices.length}>
      <summary>A device’s first time: it must trust this workshop’s certificate</summary>
      <p>Devices come in encrypted (https). Each must be told once, before its code, to believe this computer. Point its camera at this picture and open the address; the page there says what to do.</p>
      {trust.urls.length ? (
        <Pictured urls={trust.urls}>
          <p>Then compare. The certificate is called <b>{trust.name}</b>; its number (SHA-256 fingerprint), as the device shows it in the certificate’s details, must be this one to the last pair:</p>
          <Fingerprint text={trust.fingerprint} />
          <p class="quiet">If they differ, somebody stands between the two: remove the certificate from the device and do not go on in this network.</p>
        </Pictured>
      ) : <p class="notice warn">This computer has no address in a network just now. Connect it first.</p>}
    </details>
  );
}

export function Encrypted({ trust }: { trust: Told }) {
  return (
    <details class="plainly">
      <summary>Encrypted (https): what that covers, and what not</summary>
      <h3>Between a device and this computer</h3>
      <ul>
        <li>Nobody in the network reads along or changes what travels, as long as the device opens the page without a warning. Do not go past a warning.</li>
        <li>Nobody gets in without a fresh code from this computer and its number typed here; a lost device is shut out in the list above.</li>
        <li>Whoever is in the network can see that you use it, when, and how much travels.</li>
      </ul>
      <h3>The key</h3>
      <ul>
        <li>It lies in a file of its own beside the workshop, ending in <span class="path">.authority.pem</span>, for your account alone. It is in no copy, table or backup the program makes. Whoever gets it could pretend to be a page of your network, to the devices that trust it: remove the certificate from those, remove the file, and begin anew.</li>
        <li>The certificate <b>{trust.name}</b> holds until {onDate(trust.until)}. What this computer shows to devices is made anew at every start, and by itself when its address changes or a year is over.</li>
      </ul>
      <h3>What a phone still cannot do</h3>
      <ul><li>Be told anything while its browser is closed.</li></ul>
      <h3>What stays on a phone</h3>
      <ul><li>What it was shown stays on it for {KEEP_DAYS} days, so that the pages open while the computer is away. Shut out, it throws that away as soon as it reaches this computer again; one that never does cannot be told.</li></ul>
    </details>
  );
}
