/**
 * Makes one script of `src/page/` and all that it imports, and writes it as JSON to dist/page/page.json, where
 * the pipeline reads it. Part of every build.
 */
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));

/** Documents in a page were written by this program, so no schema is needed to read them. */
const withoutSchemas = {
  name: 'without-schemas',
  setup(builder) {
    builder.onResolve({ filter: /\/schema-check\.js$/ }, () => ({ path: here('../page/trusted-schema.ts') }));
  },
};

const { outputFiles } = await build({
  entryPoints: [here('../page/main.ts')],
  bundle: true,
  write: false,
  minify: true,
  format: 'iife',
  target: 'es2022',
  legalComments: 'none',
  tsconfig: here('../page/tsconfig.json'),
  plugins: [withoutSchemas],
  logLevel: 'warning',
});
mkdirSync(here('../../dist/page/'), { recursive: true });
writeFileSync(here('../../dist/page/page.json'), `${JSON.stringify({ script: outputFiles[0].text })}\n`);
