// Addresses a device can open with its camera: the picture of one, the others to choose from.
import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';

export interface Address { url: string; interface: string; qr: string }

export function Pictured({ urls, children }: { urls: Address[]; children: ComponentChildren }) {
  const [at, setAt] = useState(0);
  const shown = urls[at] ?? urls[0];
  if (!shown) return null;
  return (
    <div class="invite">
      <img src={`data:image/svg+xml,${encodeURIComponent(shown.qr)}`} alt={`Picture of the address ${shown.url}, for a camera`} width="240" height="240" />
      <div>
        {children}
        <ul class="invite-urls">
          {urls.map((u, i) => (
            <li key={u.url}><span class="path">{u.url}</span> <span class="quiet">{u.interface}</span>{u !== shown && <button type="button" class="link" onClick={() => setAt(i)}>show its picture</button>}</li>
          ))}
        </ul>
        {urls.length > 1 && <p class="quiet">If a device does not reach one address, try the other.</p>}
      </div>
    </div>
  );
}
