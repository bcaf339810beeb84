// Builds ui/dist: index.html, one script, one style, icon, fonts, and the worker that keeps them. Script,
// style and fonts carry their content in their name, so that no page ever runs another build's script.
// No inline script or style, so that the pages live under `default-src 'self'`.
import { build, context } from 'esbuild';
import { createHash } from 'node:crypto';
import { cp, mkdir, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { gzipSync } from 'node:zlib';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { readFields } from './fields.mjs';
import { readTerms } from './terms.mjs';

const here = path.dirname(fileURLToPath(import.meta.url));
const dist = path.join(here, 'dist');
const watch = process.argv.includes('--watch');
const sha256 = (content) => createHash('sha256').update(content).digest('hex');

// emptied, not removed: a server reading its pages from here keeps the folder open
await mkdir(dist, { recursive: true });
for (const name of await readdir(dist)) await rm(path.join(dist, name), { recursive: true, force: true });
await cp(path.join(here, 'src/icon.svg'), path.join(dist, 'icon.svg'));
await cp(
  path.join(here, 'node_modules/@fontsource-variable/atkinson-hyperlegible-next/LICENSE'),
  path.join(dist, 'fonts/LICENSE.txt'),
);

const common = {
  absWorkingDir: here,
  outdir: 'dist',
  bundle: true,
  target: ['es2022', 'chrome111', 'firefox115', 'safari16.4'],
  minify: !watch,
  logLevel: 'info',
};
const pages = {
  ...common,
  entryPoints: { app: 'src/main.tsx' },
  entryNames: watch ? '[name]' : '[name]-[hash]',
  assetNames: watch ? 'fonts/[name]' : 'fonts/[name]-[hash]',
  format: 'esm',
  jsx: 'automatic',
  jsxImportSource: 'preact',
  loader: { '.woff2': 'file' },
  publicPath: '/',
  legalComments: 'linked',
  metafile: true,
  plugins: [words(), fields()],
};

if (watch) {
  // while it is being designed nothing is kept: no worker, plain names
  await writeIndex([]);
  await (await context(pages)).watch();
} else {
  const made = Object.keys((await build(pages)).metafile.outputs).map((name) => path.relative('dist', name));
  await writeIndex(made);
  await buildWorker(['index.html', 'icon.svg', ...made.filter((name) => /\.(js|css|woff2)$/.test(name)).sort()]);
  await report();
}

/** The first page, with the names script and style got. */
async function writeIndex(made) {
  let html = await readFile(path.join(here, 'src/index.html'), 'utf8');
  for (const name of made.filter((n) => /^app-\w+\.(js|css)$/.test(n))) html = html.replace(`/app${path.extname(name)}"`, `/${name}"`);
  await writeFile(path.join(dist, 'index.html'), html);
}

/** The worker knows every file it keeps by its hash; another build is another worker, byte for byte. */
async function buildWorker(names) {
  const files = {};
  for (const name of names) files[`/${name}`] = sha256(await readFile(path.join(dist, name)));
  const source = await readFile(path.join(here, 'src/worker/worker.ts'));
  const BUILD = sha256(JSON.stringify(files) + source).slice(0, 16);
  await build({ ...common, entryPoints: { worker: 'src/worker/worker.ts' }, format: 'iife', define: { BUILD: JSON.stringify(BUILD), FILES: JSON.stringify(files) } });
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

/** `import terms from 'terms:'`: the words of the trade, from the table that the command line reads too. */
function words() {
  const file = path.join(here, '../data/terms.def');
  return {
    name: 'words',
    setup(at) {
      at.onResolve({ filter: /^terms:$/ }, () => ({ path: file, namespace: 'words' }));
      at.onLoad({ filter: /./, namespace: 'words' }, async () => ({ contents: JSON.stringify(readTerms(await readFile(file, 'utf8'))), loader: 'json', watchFiles: [file] }));
    },
  };
}

/** `import fields from 'fields:'`: what the door takes in each number field, from the table it checks them by. */
function fields() {
  const folder = path.join(here, '../src/app');
  return {
    name: 'fields',
    setup(at) {
      at.onResolve({ filter: /^fields:$/ }, () => ({ path: folder, namespace: 'fields' }));
      at.onLoad({ filter: /./, namespace: 'fields' }, async () => {
        const files = (await readdir(folder)).filter((n) => n.endsWith('.def')).sort().map((n) => path.join(folder, n));
        const texts = await Promise.all(files.map((f) => readFile(f, 'utf8')));
        return { contents: JSON.stringify(readFields(texts)), loader: 'json', watchFiles: files };
      });
    },
  };
}
