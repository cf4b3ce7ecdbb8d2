/**
 * The walls between the rooms of src/ (DEVELOPERS.md, "The map"): each room may import only what its
 * line names. `types` are rooms of which it may import types alone. No breach is tolerated.
 */

/** @returns a rule: files of `room` import from src/ only themselves, `rooms`, and types of `types`. */
const wall = (name, room, rooms, types, comment) => [
  { name, comment, severity: 'error', from: { path: `^src/${room}` }, to: { path: '^src/', pathNot: [`^src/${room}`, ...rooms, ...types].map((start) => start.replace(/^(?!\^)/, '^src/')) } },
  { name: `${name}-types`, comment: `${comment} (of these rooms, types only)`, severity: 'error', from: { path: `^src/${room}` }, to: { path: types.length > 0 ? types.map((start) => `^src/${start}`) : '^$', dependencyTypesNot: ['type-only'] } },
];

/** Rooms of synthesis, in the order in which they stand on each other. */
const SYNTHESIS = ['rates', 'site', 'carriers', 'bills', 'crews', 'networks', 'families', 'first-layouts'];

module.exports = {
  forbidden: [
    ...wall('base-stands-alone', 'base/', [], [], 'Rationals, geometry, random numbers and assertions know nothing of the product.'),
    ...wall('catalog-on-base', 'catalog/', ['base/'], [], 'What parts do and cost, whatever is built of them.'),
    ...wall('brief-on-catalog', 'brief/', ['base/', 'catalog/'], [], 'A request knows what parts there are, but no layout.'),
    ...wall('layout-on-catalog', 'layout/', ['base/', 'catalog/'], [], 'The one place where synthesis and simulation meet.'),
    ...wall('program-knows-no-tiles', 'program/', ['base/(?!geometry)'], [], 'An integer program is plain numbers, so its checker can judge any solver.'),
    ...wall('synthesis-never-simulates', 'synthesis/', ['base/', 'catalog/', 'brief/', 'layout/', 'program/'], ['simulation/trial-result'], 'A verifier is handed in, so the simulator stays an independent witness.'),
    ...SYNTHESIS.map((room, n) => ({
      name: `synthesis-${room}`,
      comment: 'A room of synthesis stands on those before it; of the loop it knows what is handed in and what is handed out.',
      severity: 'error',
      from: { path: `^src/synthesis/${room}/` },
      to: { path: '^src/synthesis/', pathNot: [...SYNTHESIS.slice(0, n + 1).map((before) => `^src/synthesis/${before}/`), '^src/synthesis/(verifier|proof-step|allotted-time)\\.ts'] },
    })),
    ...wall('simulation-never-designs', 'simulation/', ['base/', 'catalog/', 'layout/'], [], 'The witness knows nothing of briefs, programs and solvers.'),
    ...wall('ranking-on-results', 'ranking/', ['base/', 'brief/', 'layout/'], ['simulation/(trial|visit)-result'], 'Measures and comparisons of finished layouts.'),
    ...wall('fitting-on-catalog', 'fitting/', ['base/(?!geometry)'], [], 'From counts and times to integers, by the formulas of the world rules alone.'),
    ...wall('audit-doubts-simulation', 'audit/', ['base/', 'catalog/', 'brief/', 'layout/', 'program/', 'synthesis/'], ['simulation/trial-result'], 'Who rechecks a claim shares no code with the simulator that made it.'),
    ...wall('workers-carry-shares', 'workers/', ['base/', 'catalog/', 'brief/', 'layout/', 'synthesis/', 'tasks/verifier', 'tasks/loading-verifier'], ['simulation/starts'], 'Threads hand on what the search asks and answers.'),
    ...wall('report-on-results', 'report/', ['base/', 'layout/'], ['audit/', 'catalog/', 'brief/', 'fitting/', 'simulation/(trial-result|visit-result|lane-flows)', 'synthesis/', 'ranking/'], 'Words and pictures of results; it computes none.'),
    ...wall('pictures-are-plans', 'picture/', ['base/', 'catalog/', 'layout/', 'report/'], [], 'Pictures as files: read by the stamps with which reports draw.'),
    ...wall('page-shows', 'page/', ['base/', 'catalog/', 'layout/', 'simulation/', 'report/'], [], 'What runs in a page: the drawings, and the simulator for what moves in them.'),
    ...wall('index-is-the-surface', 'index\\.ts', ['pipeline\\.ts', 'tasks/'], ['audit/', 'fitting/', 'base/', 'catalog/', 'brief/', 'layout/', 'program/', 'synthesis/', 'simulation/', 'ranking/', 'report/', 'picture/'], 'The public surface: the pipeline and what joins rooms beside it, and the types of the rooms.'),
    ...wall('cli-on-index', 'cli/', ['index\\.ts'], [], 'The command line is a client of the public surface like any other.'),
    { name: 'pipeline-not-cli', comment: 'Tasks join the rooms, the pipeline lists them; arguments and files are not their own.', severity: 'error', from: { path: '^src/(pipeline\\.ts|tasks/)' }, to: { path: '^src/(cli/|index\\.ts)' } },
    { name: 'tasks-before-their-list', comment: 'The pipeline lists what tasks do, and none of them needs the list.', severity: 'error', from: { path: '^src/tasks/' }, to: { path: '^src/pipeline\\.ts' } },
    { name: 'no-circular', comment: 'A cycle has no bottom from which to understand it.', severity: 'error', from: {}, to: { circular: true } },
    { name: 'no-tests', comment: 'The product never imports its tests or benchmarks.', severity: 'error', from: { path: '^src/' }, to: { path: '^(test|bench)/' } },
    { name: 'files-in-cli-only', comment: 'Everything but the command line is free of the file system, so it runs anywhere and is easy to test.', severity: 'error', from: { path: '^src/', pathNot: '^src/cli/' }, to: { path: '^(node:)?fs(/promises)?$', dependencyTypes: ['core'] } },
    { name: 'no-dev-packages', comment: 'What the product imports must be installed with it; bundles are made when it is built.', severity: 'error', from: { path: '^src/', pathNot: '^src/(page/|cli/bundle-)' }, to: { dependencyTypes: ['npm-dev'], dependencyTypesNot: ['type-only'], pathNot: '^node_modules/@types/' } },
    { name: 'resolvable', comment: 'Every import is found.', severity: 'error', from: {}, to: { couldNotResolve: true } },
  ],
  options: {
    tsConfig: { fileName: 'tsconfig.json' },
    tsPreCompilationDeps: true,
    doNotFollow: { path: 'node_modules' },
    enhancedResolveOptions: { exportsFields: ['exports'], conditionNames: ['import', 'require', 'node', 'default', 'types'] },
  },
};
