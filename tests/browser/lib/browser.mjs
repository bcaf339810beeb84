// Real Chromium at the three sizes the pages are made for, with axe and a counter of checks.
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { handOf, SENSES } from './hands.mjs';
import { root } from './workshop.mjs';

const require = createRequire(path.join(root, 'ui/package.json'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const shots = path.join(root, 'tests/artefacts');
mkdirSync(shots, { recursive: true });

const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync'];

export const SIZES = {
  phone: { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true, deviceScaleFactor: 2 },
  tablet: { viewport: { width: 768, height: 1024 }, hasTouch: true, isMobile: true },
  laptop: { viewport: { width: 1440, height: 900 } },
};

/** `home` is the folder a browser looks for certificates of its owner in. */
export const launch = ({ home } = {}) => chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: FLAGS, env: home ? { ...process.env, HOME: home } : undefined,
});

let passed = 0;
const failures = [];

/** One named check; a failure is told and counted, the run goes on. */
const began = Date.now();
export function check(name, good, detail = '') {
  if (process.env.TIMES) console.log(((Date.now() - began) / 1000).toFixed(1), name);
  if (good) passed++;
  else {
    failures.push(name);
    console.log(`FAILED  ${name}${detail ? `: ${detail}` : ''}`);
  }
}

/** Runs a stretch of steps; what it throws is one failure. */
export async function stretch(name, run) {
  try {
    await run();
  } catch (e) {
    check(name, false, String(e?.message ?? e).split('\n').slice(0, 6).join(' | '));
  }
}

export function finish() {
  console.log(`${passed} passed, ${failures.length} failed`);
  process.exitCode = failures.length ? 1 : 0;
}

export class Visit {
  constructor(name, page, hand = 'mouse') {
    this.name = name;
    this.page = page;
    this.hand = handOf(hand, page);
    this.complaints = [];
    this.muted = false;
    page.on('pageerror', (e) => this.complaints.push(`error: ${e.message}`));
    page.on('console', (m) => {
      // refusals, a stopped server and plain http are part of the tests; what the page itself gets wrong is not
      if (m.type() === 'error' && !/Failed to load resource|ERR_CONNECTION|EventSource|Opener-Policy header has been ignored/.test(m.text())) this.complaints.push(m.text());
    });
  }

  async shot(name) {
    if (this.hand.kind !== 'mouse') return this.view(name); // a whole page would be scrolled for it
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${name}.png`), fullPage: true });
  }

  /** The picture a person has in front of them: the window, not the whole length of the page. */
  async view(name) {
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${name}.png`) });
  }

  /** Accessible by axe's rules (WCAG 2.2 A and AA, best practice), and no wider than the window; on a phone also with letters twice as large. */
  async inspect(name) {
    await this.#axe(name);
    await this.#narrow(`${name}: no wider than the window`);
    if (this.page.viewportSize().width <= SIZES.phone.viewport.width) await this.#largeLetters(name);
  }

  async #narrow(what) {
    const { page } = this;
    const { wide, out } = await page.evaluate(sideways, page.viewportSize().width);
    check(`${this.name} ${what}`, wide <= 0, `${wide} px too wide: ${out.join('; ')}`);
  }

  /**
   * Large letters: text at 200 % is read without scrolling sideways (WCAG 2.2, 1.4.4 with 1.4.10). Every size is in rem, so the letters of the
   * root are doubled. Afterwards the page stands where it stood.
   */
  async #largeLetters(name) {
    const { page } = this;
    const at = await page.evaluate(() => {
      const { style } = document.documentElement;
      style.fontSize = `${2 * parseFloat(getComputedStyle(document.documentElement).fontSize)}px`;
      return scrollY;
    });
    await this.#narrow(`${name}: large letters stay inside the window`);
    await page.evaluate((y) => {
      document.documentElement.style.fontSize = '';
      scrollTo({ top: y, behavior: 'instant' });
    }, at);
  }

  async #axe(name) {
    const { page } = this;
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const result = await globalThis.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] });
      return result.violations.map((v) => `${v.id} at ${v.nodes.slice(0, 3).map((n) => n.target.join(' ')).join(' and ')}`);
    });
    check(`${this.name} ${name}: axe finds nothing`, found.length === 0, found.join('; '));
  }

  /** The same in both schemes; the page is left in the one it was in. */
  async inspectBoth(name) {
    for (const colorScheme of ['dark', 'light']) {
      await this.page.emulateMedia({ colorScheme });
      await this.inspect(`${name} ${colorScheme}`);
    }
    await this.page.emulateMedia({ colorScheme: null });
  }

  /** What has the focus; `fits` is asked in the page, for as long as the page may take to put it there. */
  async focusIs(what, fits) {
    // asked again and again from here: the pages' own policy lets no text be run inside them
    const ask = () => this.page.evaluate(`(${fits})(document.activeElement)`);
    let good = await ask();
    for (const until = Date.now() + 4000; !good && Date.now() < until; good = await ask()) await this.page.waitForTimeout(50);
    const at = good ? '' : await this.page.evaluate(() => `${document.activeElement?.tagName} "${document.activeElement?.textContent?.slice(0, 60)}"`);
    check(`${this.name}: ${what}`, good, at);
  }

  /** A screen reader was told: something put into a live region that fits. */
  async heard(what, pattern) {
    const good = await this.page.waitForFunction((p) => (window.heard ?? []).some((t) => new RegExp(p).test(t)), pattern.source, { timeout: 4000 }).then(() => true, () => false);
    check(`${this.name}: a screen reader hears ${what}`, good, good ? '' : (await this.page.evaluate(() => (window.heard ?? []).slice(-6))).join(' | '));
  }

  quiet(name) {
    check(`${this.name} ${name}: no error in the console`, this.complaints.length === 0, this.complaints.join('; '));
    this.complaints.length = 0;
  }
}

/**
 * In the page: by how much it is wider than a window this wide, and the text and boxes that make it so. Asked of the window's own width, not
 * innerWidth: a phone zooms out to what is too wide.
 */
function sideways(width) {
  const wide = document.documentElement.scrollWidth - width;
  if (wide <= 0) return { wide, out: [] };
  const scrolls = (e) => e.closest('.scroll, .jump, .tabs, .ways') !== null;
  const out = [];
  for (const e of document.querySelectorAll('body *')) {
    const range = document.createRange();
    range.selectNodeContents(e);
    if (e.children.length === 0 && !scrolls(e) && range.getBoundingClientRect().right + scrollX > width + 0.5) out.push(`${e.tagName} in ${e.parentElement.className || e.parentElement.tagName} "${e.textContent.slice(0, 30)}"`);
  }
  return { wide, out: out.slice(0, 4) };
}

/** In every page: what a screen reader would be told. Live regions speak when their content changes, alerts when they appear. */
function listen() {
  window.heard = [];
  new MutationObserver((list) => {
    for (const change of list) {
      const at = change.target.nodeType === Node.TEXT_NODE ? change.target.parentElement : change.target;
      const region = at?.closest?.('[role="status"], [role="alert"], [aria-live]') ??
        [...change.addedNodes].find((n) => n.nodeType === Node.ELEMENT_NODE && n.matches('[role="alert"]'));
      const text = region?.textContent.trim();
      if (text) window.heard.push(text);
    }
  }).observe(document, { childList: true, subtree: true, characterData: true });
}

/** How many answers of the workshop the browser's own database keeps. */
export function answersKept(page) {
  return page.evaluate(() => new Promise((resolve, reject) => {
    const open = indexedDB.open('evenpool-bench');
    open.onerror = () => reject(open.error);
    open.onsuccess = () => {
      const count = open.result.transaction('answers').objectStore('answers').count();
      count.onsuccess = () => {
        open.result.close();
        resolve(count.result);
      };
    };
  }));
}

/** `hand` mouse, touch or keys: how the programme's steps are done on this visit. */
export async function visit(browser, size, options = {}, hand = 'mouse') {
  const context = await browser.newContext({ ...SIZES[size], reducedMotion: 'reduce', locale: 'en-GB', timezoneId: 'UTC', ...SENSES[hand], ...options });
  await context.addInitScript(listen);
  const page = await context.newPage();
  page.setDefaultTimeout(60000); // machines are shared: a wait that is too short fails for the neighbours' work
  return new Visit(hand === 'mouse' ? size : `${size} ${hand}`, page, hand);
}
