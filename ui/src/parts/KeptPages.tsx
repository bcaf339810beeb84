// Whether the pages open on this very device while the workshop's computer does not answer, and if not, why.
import { useKept, type Kept } from '../lib/kept';

const SAYS: Record<Kept, string> = {
  coming: 'This device is just keeping the pages for when the workshop’s computer does not answer.',
  kept: 'This device keeps the pages: they open here while the workshop’s computer does not answer, with what they showed last. What you type at the bench waits here and is sent later.',
  unencrypted: 'This device came in by plain http, and browsers keep no pages for that: while the workshop’s computer does not answer, only a page that is open already goes on. Encrypted (evenpool serve --lan --tls), pages open all the same.',
  unable: 'This browser keeps no pages (a private window does not, nor one told to keep nothing): while the workshop’s computer does not answer, only a page that is open already goes on.',
};

export function KeptPages() {
  const kept = useKept();
  return (
    <>
      <h3>While the computer is away</h3>
      <p class="kept-pages" role="status">{SAYS[kept]}</p>
    </>
  );
}
