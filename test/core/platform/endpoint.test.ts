import 'reflect-metadata';
import { Endpoint, endpoint } from '../../../src/platform/http/endpoint.js';

const declared = endpoint({
  method: 'GET',
  path: '/v1/nowhere',
  operationId: 'forgottenDecorator',
  tag: 'Health',
  access: 'public',
  summary: 'Only for a test',
});

it('a method of a controller whose parameter has lost its decorator is refused when the program is loaded', () => {
  class Forgetful {
    find(call: unknown): unknown {
      return call;
    }
  }
  const { prototype } = Forgetful;
  const method = Object.getOwnPropertyDescriptor(prototype, 'find');
  expect(() => {
    Endpoint(declared)(prototype, 'find', method ?? {});
  }).toThrow(/Forgetful\.find has a parameter without a decorator/);
});
