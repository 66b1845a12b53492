import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createSecureContext } from 'node:tls';

/** Where the certificate, with those that vouch for it below, and its key are kept, in PEM. */
export interface TlsFiles {
  certificateFile: string;
  keyFile: string;
}

export interface Tls {
  cert: Buffer;
  key: Buffer;
  /** The last moment at which browsers take the certificate. */
  until: Date;
}

/** A certificate that cannot be used; explained for the person at the terminal. */
class TlsProblem extends Error {
  override name = 'TlsProblem';
}

/** @throws TlsProblem where a file cannot be read, or the key is not that of the certificate. */
export function readTls({ certificateFile, keyFile }: TlsFiles): Tls {
  const [cert, key] = [read('TLS_CERTIFICATE_FILE', certificateFile), read('TLS_KEY_FILE', keyFile)];
  try {
    createSecureContext({ cert, key });
    return { cert, key, until: new Date(new X509Certificate(cert).validTo) };
  } catch (error) {
    throw new TlsProblem(
      `The certificate in ${certificateFile} cannot be used with the key in ${keyFile}: ${(error as Error).message}`,
    );
  }
}

function read(variable: string, file: string): Buffer {
  try {
    return readFileSync(file);
  } catch (error) {
    throw new TlsProblem(
      `${variable}: the file ${file} cannot be read (${(error as NodeJS.ErrnoException).code ?? String(error)}).`,
    );
  }
}

/**
 * Reads the files again, since certificates are renewed while the server runs; open connections keep the old one.
 * @returns what was read, or the one before where nothing is new. @throws TlsProblem; the one before then stays in use.
 */
export function renewedTls(
  server: { setSecureContext?(options: Pick<Tls, 'cert' | 'key'>): void },
  files: TlsFiles,
  before: Tls,
): Tls {
  const now = readTls(files);
  if (now.cert.equals(before.cert) && now.key.equals(before.key)) return before;
  server.setSecureContext?.({ cert: now.cert, key: now.key });
  return now;
}
