/*
 * What no database and no JSON keeps (a NUL, half of a letter), and what turns the direction of what is read, is taken
 * by no field of any request: whatever is stored, written into the audit or answered again is plain text.
 */
import type { z } from 'zod';
import { ENDPOINTS, PAGES } from '../../src/platform/http/endpoint.js';
import { operationWith } from '../support/people.js';
import { openWorld, type World } from '../support/world.js';

/** Hashed or compared, and never stored or told. */
const SECRETS = /(?:passphrase|token|code|secret|password|challenge|signature|device)$/i;
/** Neither stored nor told as they were sent, each with the reason. */
const NOT_KEPT: readonly (readonly [RegExp, string])[] = [
  [/ query\.cursor$/, 'is decoded, and refused where it is none of ours'],
  [/^calculate/, 'calculations without records store nothing'],
  [/(?:Percent|\.value|PerL)$/, 'is read as a figure'],
  [/\.authenticatorAttachment$| body\.credential\.response\.transports\[\]$/, 'is read by the library for passkeys'],
  [/^verifyAudit query\.keptHead$/, 'is compared'],
  [/^(?:request|confirm)Deletion body\.name$/, "is compared with the operation's name"],
  [
    /^importIcarWeights body\.member\[\]\./,
    'becomes the body of a weigh-in, which refuses it as a problem of its event',
  ],
  [/^createImportMapping body\.columns\[\]\.column$/, 'is the name of a column, or refused'],
  [/^(?:create|change)Webhook body\.url$/, 'is read as an address'],
  [
    /^(?:count|fed|hayTicket|hayTicketOfNewLot|head|water|weather|weighIn)ByForm(?: body\{\})?$/,
    'becomes the body of an address of the API, by whose schema it is read',
  ],
  [/^rationDeskPage query\./, 'is shown again in its own form, and stored nowhere'],
  [/^keepRationByForm body\./, 'becomes the body of a ration, by whose schema it is read'],
];
const ODD = ['a\u0000b', 'a\ud800b', 'a\u202eb'];

interface Inner {
  def: {
    type: string;
    shape?: Record<string, Inner>;
    element?: Inner;
    innerType?: Inner;
    in?: Inner;
    out?: Inner;
    options?: Inner[];
    keyType?: Inner;
    valueType?: Inner;
    items?: Inner[];
    catchall?: Inner;
    getter?: () => Inner;
    left?: Inner;
    right?: Inner;
  };
}

/** Each field that takes text, by its path. */
function* texts(schema: Inner | undefined, path: string, outer?: Inner): Generator<[string, Inner]> {
  if (schema === undefined) return;
  const { def } = schema;
  switch (def.type) {
    case 'string':
      yield [path, outer ?? schema];
      break;
    case 'object':
      for (const [name, field] of Object.entries(def.shape ?? {})) yield* texts(field, `${path}.${name}`);
      break;
    case 'array':
      yield* texts(def.element, `${path}[]`);
      break;
    case 'union':
      for (const option of def.options ?? []) yield* texts(option, path);
      break;
    case 'record':
      yield* texts(def.keyType, `${path}{}`);
      yield* texts(def.valueType, `${path}{}`);
      break;
    case 'pipe':
      // What a pipe takes, its end may still refuse.
      yield* texts(def.in, path, outer ?? schema);
      break;
    case 'intersection':
      yield* texts(def.left, path);
      yield* texts(def.right, path);
      break;
    case 'tuple':
      for (const item of def.items ?? []) yield* texts(item, path);
      break;
    default:
      yield* texts(def.innerType, path, outer);
  }
}

describe('A field of a request', () => {
  const fields = [...ENDPOINTS, ...PAGES].flatMap((one) =>
    (['params', 'query', 'body'] as const).flatMap((part) =>
      [...texts(one[part] as Inner | undefined, part)].map(([path, schema]) => ({ of: one, path, schema })),
    ),
  );

  it('takes no text that is not kept', () => {
    expect(fields.length).toBeGreaterThan(1_000);
    const taken = fields
      .filter(({ path }) => !SECRETS.test(path))
      .filter(({ of, path }) => !(path === 'body' && of.bodyType !== undefined))
      .filter(({ schema }) => ODD.some((odd) => (schema as unknown as z.ZodType).safeParse(odd).success))
      .map(({ of, path }) => `${of.operationId} ${path}`)
      .filter((field) => !NOT_KEPT.some(([pattern]) => pattern.test(field)));
    expect(taken).toEqual([]);
  });
});

describe('A reason', () => {
  let world: World;
  beforeAll(async () => {
    world = await openWorld();
  });
  afterAll(() => world.close());

  it.each(['a\u0000b', 'a\ud800b', 'a\u202eb'])(
    'that is not kept is refused where a membership ends: %j',
    async (reason) => {
      const yard = await operationWith(world, { roles: ['owner', 'hand'] });
      const { items } = (
        await yard.as.owner.get<{ items: { id: string; personId: string }[] }>(yard.at('/memberships'), { expect: 200 })
      ).body;
      const path = yard.at(`/memberships/${items.find((one) => one.personId === yard.people.hand.id)?.id ?? ''}`);
      const ifMatch = (await yard.as.owner.get(path, { expect: 200 })).headers['etag'] ?? '';
      const answers = [
        await yard.as.owner.post(`${path}/recovery-tokens`, { reason }),
        await yard.as.owner.post(`${path}/end`, { reason }, { ifMatch, key: null }),
      ];
      expect(answers.map(({ status }) => status)).toEqual([400, 400]);
    },
  );
});
