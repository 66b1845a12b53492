/*
 * Signatures of messages by Standard Webhooks 1.0.0: against the example that the standard publishes, and against its
 * own library for JavaScript (npm standardwebhooks 1.1.1), which verifies what is signed here.
 */
import { Webhook as Verifier } from 'standardwebhooks';
import { newSigningSecret, signedHeaders } from '../../src/office/webhooks/signature.js';
import fc, { examples } from '../support/properties.js';

it('is the one of the published example', () => {
  // libraries/javascript/src/webhook.test.ts of the standard's repository, "sign function works".
  const secret = 'whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw';
  const headers = signedHeaders(
    { id: 'msg_p5jXN8AQM9LWM0D4loKWxJek', at: new Date(1614265330 * 1000), body: '{"test": 2432232314}' },
    [secret],
  );
  expect(headers).toEqual({
    'webhook-id': 'msg_p5jXN8AQM9LWM0D4loKWxJek',
    'webhook-timestamp': '1614265330',
    'webhook-signature': 'v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=',
  });
});

it("is what the standard's own library makes and takes, whatever the body, by either of two secrets", () => {
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme', maxLength: 200 }), fc.uuid(), (text, id) => {
      const body = JSON.stringify({ text });
      const at = new Date();
      const secrets = [newSigningSecret(), newSigningSecret()];
      const headers = signedHeaders({ id, at, body }, secrets);
      const theirs = secrets.map((secret) => new Verifier(secret).sign(id, at, body));
      expect(headers['webhook-signature']).toBe(theirs.join(' '));
      for (const secret of secrets) expect(new Verifier(secret).verify(body, headers)).toEqual({ text });
      expect(() => new Verifier(newSigningSecret()).verify(body, headers)).toThrow('No matching signature found');
    }),
    { numRuns: examples(100) },
  );
});

it('secrets have the length and the mark that the standard asks for', () => {
  const bytes = Buffer.from(newSigningSecret().slice('whsec_'.length), 'base64').length;
  // 24 to 64 bytes: Standard Webhooks 1.0.0, Signature scheme.
  expect([bytes >= 24, bytes <= 64]).toEqual([true, true]);
  expect(new Set(Array.from({ length: 100 }, newSigningSecret)).size).toBe(100);
});
