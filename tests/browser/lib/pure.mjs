// The pages' own code without a browser: what a file under ui/src/lib exports, bundled and run here.
import { createRequire } from 'node:module';
import path from 'node:path';
import { root } from './workshop.mjs';

const { build } = createRequire(path.join(root, 'ui/package.json'))('esbuild');

/** `wanted` is TypeScript that exports what the test needs, as seen from ui/src/lib. */
export async function pagesCode(wanted) {
  const made = await build({
    stdin: { contents: wanted, resolveDir: path.join(root, 'ui/src/lib'), loader: 'ts' }, bundle: true, format: 'esm', write: false, logLevel: 'error',
  });
  return import(`data:text/javascript;base64,${Buffer.from(made.outputFiles[0].text).toString('base64')}`);
}
