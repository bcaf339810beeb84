// Real Chromium at the two sizes the pages are made for, with axe and a counter of checks.
import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
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
  constructor(name, page) {
    this.name = name;
    this.page = page;
    this.complaints = [];
    this.muted = false;
    page.on('pageerror', (e) => this.complaints.push(`error: ${e.message}`));
    page.on('console', (m) => {
      // refusals, a stopped server and plain http are part of the tests; what the page itself gets wrong is not
      if (m.type() === 'error' && !/Failed to load resource|ERR_CONNECTION|EventSource|Opener-Policy header has been ignored/.test(m.text())) this.complaints.push(m.text());
    });
  }

  async shot(name) {
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${name}.png`), fullPage: true });
  }

  /** The picture a person has in front of them: the window, not the whole length of the page. */
  async view(name) {
    await this.page.screenshot({ path: path.join(shots, `${this.name}-${name}.png`) });
  }

  /** Accessible by axe's rules (WCAG 2.2 A and AA, best practice), and no wider than the window. */
  async inspect(name) {
    const { page } = this;
    await page.evaluate(axe);
    const found = await page.evaluate(async () => {
      const result = await globalThis.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] });
      return result.violations.map((v) => `${v.id} at ${v.nodes.slice(0, 3).map((n) => n.target.join(' ')).join(' and ')}`);
    });
    check(`${this.name} ${name}: axe finds nothing`, found.length === 0, found.join('; '));
    // not innerWidth: a phone zooms out to what is too wide
    const wide = (await page.evaluate(() => document.documentElement.scrollWidth)) - page.viewportSize().width;
    check(`${this.name} ${name}: no wider than the window`, wide <= 0, `${wide} px too wide`);
  }

  quiet(name) {
    check(`${this.name} ${name}: no error in the console`, this.complaints.length === 0, this.complaints.join('; '));
    this.complaints.length = 0;
  }
}

export async function visit(browser, size, options = {}) {
  const context = await browser.newContext({ ...SIZES[size], reducedMotion: 'reduce', locale: 'en-GB', timezoneId: 'UTC', ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(20000);
  return new Visit(size, page);
}
