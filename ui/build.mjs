// Builds ui/dist: index.html, app.js, app.css, icon.svg, fonts. No inline script or style, so that
// the pages live under `default-src 'self'`.
import { build, context } from 'esbuild';
import { cp, mkdir, readFile, readdir, rm } from 'node:fs/promises';
import { gzipSync } from 'node:zlib';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

const here = path.dirname(fileURLToPath(import.meta.url));
const dist = path.join(here, 'dist');
const watch = process.argv.includes('--watch');

// emptied, not removed: a server reading its pages from here keeps the folder open
await mkdir(dist, { recursive: true });
for (const name of await readdir(dist)) await rm(path.join(dist, name), { recursive: true, force: true });
for (const name of ['index.html', 'icon.svg']) await cp(path.join(here, 'src', name), path.join(dist, name));
await cp(
  path.join(here, 'node_modules/@fontsource-variable/atkinson-hyperlegible-next/LICENSE'),
  path.join(dist, 'fonts/LICENSE.txt'),
);

const options = {
  absWorkingDir: here,
  entryPoints: { app: 'src/main.tsx' },
  outdir: 'dist',
  bundle: true,
  format: 'esm',
  target: ['es2022', 'chrome111', 'firefox115', 'safari16.4'],
  jsx: 'automatic',
  jsxImportSource: 'preact',
  loader: { '.woff2': 'file' },
  assetNames: 'fonts/[name]',
  publicPath: '/',
  minify: !watch,
  legalComments: 'linked',
  logLevel: 'info',
};

if (watch) {
  await (await context(options)).watch();
} else {
  await build(options);
  await report();
}

/** What a first visit downloads, compressed; the bar is 250 KB. */
async function report() {
  let total = 0;
  const files = [...(await readdir(dist)), ...(await readdir(path.join(dist, 'fonts'))).map((f) => `fonts/${f}`)];
  for (const name of files.filter((f) => /\.(html|js|css|svg|woff2)$/.test(f))) {
    const raw = await readFile(path.join(dist, name));
    total += name.endsWith('.woff2') ? raw.length : gzipSync(raw, { level: 9 }).length;
  }
  const kb = total / 1024;
  console.log(`first load ${kb.toFixed(1)} KB compressed`);
  if (kb > 250) {
    console.error('first load is over 250 KB');
    process.exit(1);
  }
}
