import { EXAMPLES } from '../api/calculations-examples.js';
import type { Writable } from './addresses.js';
import type { Asker, Asking } from './asking.js';
import type { OperationOf, Standing } from './standing.js';

const NOTHING = '00000000-0000-7000-8000-000000000001';

/**
 * Every address that changes something, asked by everybody, with a body that no schema accepts and ids that do not
 * exist: who is let in, and what the others are told.
 */
export async function atEveryDoor(
  asking: Asking,
  standing: Standing,
  { id, short }: OperationOf,
  addresses: readonly Writable[],
): Promise<void> {
  const everybody = [...Object.values(standing.people), standing.keys.prices, standing.keys.read, standing.nobody];
  for (const { method, template, mediaType } of addresses) {
    const url = template.replace('{operationId}', id).replaceAll(/\{[A-Za-z]+\}/g, NOTHING);
    const name = `door ${method} ${template.replace('{operationId}', `{${short}}`)}`;
    for (const who of everybody) {
      await asking.record(who, {
        name,
        method,
        url,
        ...(mediaType === undefined
          ? {}
          : {
              body: mediaType === 'text/csv' ? 'no,such\n1,2\n' : { 'no such field': true },
              headers: { 'Content-Type': mediaType },
            }),
      });
    }
    await asking.record(everybody[0] ?? standing.nobody, {
      name: `${name}, with a key and a tag`,
      method,
      url,
      headers: { 'Idempotency-Key': `"${name.length}-door"`, 'If-Match': '"7-0123456789abcdef"' },
      ...(mediaType === undefined
        ? {}
        : {
            body: '{}',
            headers: {
              'Content-Type': 'application/json',
              'Idempotency-Key': '"door"',
              'If-Match': '"7-0123456789abcdef"',
            },
          }),
    });
  }
}

/** The calculations without records: each with its example, with nothing, and with each field wrong in some way. */
export async function calculations(asking: Asking, standing: Standing, who: Asker): Promise<void> {
  for (const [name, body] of Object.entries(EXAMPLES)) {
    const url = `/v1/calculations/${name}`;
    if (body === undefined) continue;
    const ask = (as: string, asker: Asker, given: unknown): Promise<unknown> =>
      asking.record(asker, { name: `POST ${url}${as}`, method: 'POST', url, body: given });
    await ask('', who, body);
    await ask(' by key', standing.keys.read, body);
    await ask(' empty', who, {});
    await ask(' with an unknown field', who, { ...body, color: 'red' });
    for (const field of Object.keys(body)) {
      await ask(
        ` without ${field}`,
        who,
        Object.fromEntries(Object.entries(body).filter(([other]) => other !== field)),
      );
      const given: unknown = body[field];
      await ask(` ${field} of another size`, who, {
        ...body,
        [field]:
          typeof given === 'number' ? -given - 1 : typeof given === 'string' ? 'no' : Array.isArray(given) ? [] : {},
      });
    }
  }
}
