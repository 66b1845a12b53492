import { STATUS_CODES } from 'node:http';
import type { Socket } from 'node:net';

const STATUS_BY_CODE: Readonly<Record<string, number>> = { ERR_HTTP_REQUEST_TIMEOUT: 408, HPE_HEADER_OVERFLOW: 431 };

/**
 * What cannot be read as HTTP (an unknown method, a NUL in a header) has no address and no endpoint, and is answered
 * with the status alone, as a problem (RFC 9457, 4.2.1); then the connection is closed.
 */
export function answerUnreadable(error: Error & { code?: string }, socket: Socket): void {
  if (error.code === 'ECONNRESET' || !socket.writable) {
    socket.destroy();
    return;
  }
  const status = STATUS_BY_CODE[error.code ?? ''] ?? 400;
  const title = STATUS_CODES[status] ?? '';
  const body = JSON.stringify({
    type: 'about:blank',
    title,
    status,
    detail: 'This could not be read as an HTTP request.',
  });
  socket.write(
    `HTTP/1.1 ${status} ${title}\r\nContent-Type: application/problem+json; charset=utf-8\r\n` +
      `Content-Length: ${Buffer.byteLength(body)}\r\nConnection: close\r\n\r\n${body}`,
  );
  socket.destroySoon();
}
