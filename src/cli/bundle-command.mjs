/**
 * Makes one file each of the command and of what its threads run, with all that they import of this package: reading
 * hundreds of small files takes longer than most runs. They take the place of what was compiled. Part of every build.
 */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const SRC = fileURLToPath(new URL('../', import.meta.url));
const DIST = fileURLToPath(new URL('../../dist/', import.meta.url));

const compiled = (path) => join(DIST, relative(SRC, path)).replace(/\.ts$/, '.js');

/** A module that looks for files beside itself looks beside where it was compiled to, whatever file holds it now. */
const ownPlaces = (outfile) => ({
  name: 'own-places',
  setup(builder) {
    builder.onLoad({ filter: /\.ts$/ }, ({ path }) => {
      const own = JSON.stringify(relative(dirname(outfile), compiled(path)));
      const contents = readFileSync(path, 'utf8').replaceAll('import.meta.url', `new URL(${own}, import.meta.url).href`);
      return { loader: 'ts', contents };
    });
  },
});

const threadsIn = (folder) => readdirSync(join(SRC, folder)).filter((name) => name.endsWith('-worker.ts')).map((name) => join(folder, name));
const entries = ['cli/main.ts', ...['cli/commands', 'workers'].flatMap(threadsIn)];
await Promise.all(
  entries.map((entry) => {
    const outfile = compiled(join(SRC, entry));
    return build({
      entryPoints: [join(SRC, entry)],
      outfile,
      bundle: true,
      packages: 'external',
      platform: 'node',
      format: 'esm',
      target: 'node20',
      plugins: [ownPlaces(outfile)],
      logLevel: 'warning',
    });
  }),
);
