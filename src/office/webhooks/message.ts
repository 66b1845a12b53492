import { z } from 'zod';
import type { Words } from '../../platform/database/types.js';
import { CHANGED_KINDS, type ChangedKind } from '../changes/changed-kinds.data.js';
import { MESSAGES } from './message.schema.js';

/** What a delivery keeps of what it is about (prisma/guards/66-webhooks.sql writes it, and `hayIsLow`). */
const ofRecords = z.object({
  first: z.number(),
  last: z.number(),
  records: z.number(),
  subjects: z.array(z.object({ kind: z.string(), id: z.string() })),
});
const ofHay = z.object({ withinDays: z.number(), from: z.string(), until: z.string(), runsOutOn: z.string() });
export type AboutHay = z.output<typeof ofHay>;

/** The text that is signed and sent: the same in every attempt. */
export function messageText(delivery: {
  operation_id: string;
  message: string;
  kind: Words['WebhookKind'];
  happened_at: string;
  about: unknown;
}): string {
  const { kind, operation_id: operationId } = delivery;
  const books = `/v1/operations/${operationId}`;
  const { since, data } = contentOf(kind, delivery.about, books);
  const message = { id: delivery.message, type: kind, timestamp: delivery.happened_at, operationId, since, data };
  return JSON.stringify(MESSAGES[kind].body.parse(message));
}

function contentOf(kind: Words['WebhookKind'], about: unknown, books: string): { since: string | null; data: object } {
  if (kind === 'webhook.tested') return { since: null, data: {} };
  if (kind === 'hay.low') {
    const { withinDays, from, until, runsOutOn } = ofHay.parse(about);
    const address = `${books}/reports/hay-budget?from=${from}&until=${until}`;
    return { since: null, data: { withinDays, runsOutOn, address } };
  }
  const { first, records, subjects } = ofRecords.parse(about);
  const since = String(first - 1);
  return {
    since,
    data: {
      records,
      subjects: subjects.map((one) => ({ ...one, address: addressOf(one, books) })),
      changes: `${books}/changes?since=${since}`,
    },
  };
}

function addressOf({ kind, id }: { kind: string; id: string }, books: string): string | null {
  const path = kind in CHANGED_KINDS ? CHANGED_KINDS[kind as ChangedKind] : null;
  return path === null ? null : `${books}/${path}/${id}`;
}
