import type { z } from 'zod';

/** A message that this server sends, as the API description tells it (OpenAPI 3.1, `webhooks`). */
export interface WebhookMessage<Body extends z.ZodType = z.ZodType> {
  kind: string;
  summary: string;
  body: Body;
}

/** All messages, in the order of declaration. */
export const WEBHOOK_MESSAGES: WebhookMessage[] = [];

/** Declares a message; it is checked by this schema before it is sent. */
export function webhookMessage<Body extends z.ZodType>(message: WebhookMessage<Body>): WebhookMessage<Body> {
  WEBHOOK_MESSAGES.push(message);
  return message;
}
