import { pino, type Logger } from 'pino';
import type { LoggerService } from '@nestjs/common';
import { inSources } from './source-lines.js';

/** One JSON line per event. Nothing that could be a secret is logged; bodies are not logged at all. */
export function createLogger(level: string): Logger {
  return pino({
    level,
    base: null,
    timestamp: pino.stdTimeFunctions.isoTime,
    redact: {
      paths: [
        'req.headers.authorization',
        'req.headers.cookie',
        'headers.authorization',
        '*.passphrase',
        '*.accessToken',
        '*.refreshToken',
        '*.secret',
      ],
      censor: '[withheld]',
    },
    serializers: {
      req: (request: { method: string; url: string; id: string; ip?: string }) => ({
        method: request.method,
        path: request.url.split('?')[0],
        id: request.id,
        address: request.ip,
      }),
      res: (reply: { statusCode: number }) => ({ status: reply.statusCode }),
      err: (error: Error) => withSourceLines(pino.stdSerializers.err(error)),
    },
  });
}

function withSourceLines<Logged extends { stack?: string }>(logged: Logged): Logged {
  return logged.stack === undefined ? logged : { ...logged, stack: inSources(logged.stack) };
}

/** The framework's messages go to the same place; its startup messages only at debug level. */
export function nestLogger(logger: Logger): LoggerService {
  const say =
    (level: 'debug' | 'warn' | 'error') =>
    (message: unknown, ...rest: unknown[]) => {
      logger[level]({ context: rest.at(-1) }, typeof message === 'string' ? message : JSON.stringify(message));
    };
  return {
    log: say('debug'),
    debug: say('debug'),
    verbose: say('debug'),
    warn: say('warn'),
    error: say('error'),
    fatal: say('error'),
  };
}
