// A workshop of its own for a browser test: the real program on a database in a temporary folder,
// with a clock the test can set. Restarting it keeps file and port, as a maker's computer would.
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../../..');
const program = process.env.EVENPOOL ?? path.join(root, 'build/src/cli/evenpool');

export class Workshop {
  #child = null;
  port = 0;

  constructor({ demo = false, lan = false, tls = false } = {}) {
    this.dir = mkdtempSync(path.join(tmpdir(), 'evenpool-browser-'));
    this.demo = demo;
    this.lan = lan;
    this.tls = tls;
    this.tlsPort = 0; // 0 = one the program chooses
    this.pages = path.join(root, 'ui/dist'); // '' for those packed into the program
  }

  get url() {
    return `http://127.0.0.1:${this.port}`;
  }

  /** `clock` an ISO time or null for the real one; `speed` how fast it runs. */
  async start(clock = null, speed = 1) {
    const args = ['serve', '--db', path.join(this.dir, 'workshop.evenpool'), '--port', String(this.port), '--open', 'no'];
    if (this.pages) args.push('--assets', this.pages);
    if (this.demo) args.push('--demo');
    if (this.lan) args.push('--lan');
    if (this.tls) args.push('--tls');
    if (this.tlsPort) args.push('--tls-port', String(this.tlsPort));
    if (clock) args.push('--clock', clock, '--clock-speed', String(speed));
    const child = spawn(program, args, { stdio: ['ignore', 'pipe', 'pipe'] });
    this.#child = child;
    let said = '';
    const ready = new Promise((resolve, reject) => {
      const hear = (chunk) => {
        said += chunk;
        const found = /http:\/\/127\.0\.0\.1:(\d+)/.exec(said);
        if (found) resolve(Number(found[1]));
      };
      child.stdout.on('data', hear);
      child.stderr.on('data', hear);
      child.on('exit', (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
      child.on('error', reject);
      setTimeout(() => reject(new Error(`the server did not start: ${said}`)), 20000).unref();
    });
    this.port = await ready;
  }

  async stop(signal = 'SIGTERM') {
    const child = this.#child;
    if (!child) return;
    this.#child = null;
    const gone = new Promise((resolve) => child.on('exit', resolve));
    child.kill(signal);
    await gone;
  }

  async restart(clock, speed = 1) {
    await this.stop();
    await this.start(clock, speed);
  }

  async get(pathname) {
    const answer = await fetch(this.url + pathname);
    return answer.json();
  }

  async close() {
    await this.stop('SIGKILL'); // a forecast still being burned need not be waited for
    rmSync(this.dir, { recursive: true, force: true });
  }
}
