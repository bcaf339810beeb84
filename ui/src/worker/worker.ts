// Opens the pages while the workshop's computer is away: a service worker that keeps the built files,
// and nothing else. What the workshop knows never passes through here (lib/live.ts keeps answers,
// lib/outbox.ts what was typed).
//
// W1  A page is asked of the computer first; the one kept here serves when no answer comes in time.
// W2  Scripts, styles and fonts carry their content in their name, so a page, kept or fresh, finds the very
//     ones it was built with or none.
// W3  Files are kept only when all of them are, byte for byte, those this worker was built with.
// W4  One build is kept, the newest.

/** Put in by build.mjs: a hash of the whole build, and the SHA-256 of each file by its path. */
declare const BUILD: string;
declare const FILES: Record<string, string>;
declare const self: ServiceWorkerGlobalScope;
export {};

const OURS = 'evenpool-pages-';
const CACHE = OURS + BUILD;
const SHELL = '/index.html';
const PATIENCE_MS = 3000; // a computer that sleeps refuses nothing: it just does not answer

self.addEventListener('install', (e) => e.waitUntil(keepAll().then(() => self.skipWaiting())));
self.addEventListener('activate', (e) => e.waitUntil(dropOthers()));
self.addEventListener('fetch', (e) => {
  const { pathname, origin } = new URL(e.request.url);
  if (e.request.method !== 'GET' || origin !== self.location.origin) return;
  if (e.request.mode === 'navigate') {
    if (isPlace(pathname)) e.respondWith(page(e.request));
  } else if (Object.hasOwn(FILES, pathname)) e.respondWith(kept(pathname).then((answer) => answer ?? fetch(e.request)));
});

/** W3 */
async function keepAll(): Promise<void> {
  const cache = await caches.open(CACHE);
  try {
    await Promise.all(Object.entries(FILES).map(async ([path, hash]) => cache.put(path, await fetched(path, hash))));
  } catch (e) {
    await caches.delete(CACHE);
    throw e;
  }
}

async function fetched(path: string, hash: string): Promise<Response> {
  const answer = await fetch(path, { cache: 'no-cache' });
  const found = await crypto.subtle.digest('SHA-256', await answer.clone().arrayBuffer());
  const hex = [...new Uint8Array(found)].map((b) => b.toString(16).padStart(2, '0')).join('');
  if (!answer.ok || hex !== hash) throw new Error(`${path} is not the file of this build`);
  return answer;
}

/** W4 */
async function dropOthers(): Promise<void> {
  for (const name of await caches.keys()) if (name.startsWith(OURS) && name !== CACHE) await caches.delete(name);
}

/** A place inside the pages, as the server tells them too: no file, no data, not the page before trust. */
function isPlace(pathname: string): boolean {
  const parts = pathname.split('/');
  return !['api', 'trust'].includes(parts[1]!) && !parts.at(-1)!.includes('.');
}

/** W1 */
async function page(request: Request): Promise<Response> {
  const fresh = fetch(request);
  const inTime = fresh.catch(() => null);
  const late = new Promise<null>((resolve) => setTimeout(() => resolve(null), PATIENCE_MS));
  return (await Promise.race([inTime, late])) ?? (await kept(SHELL)) ?? fresh;
}

const kept = async (path: string): Promise<Response | undefined> => (await caches.open(CACHE)).match(path);
