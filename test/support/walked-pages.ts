import { parseHTML } from 'linkedom';

/** A page as somebody with a browser got it, found by following links alone. */
export interface WalkedPage {
  /** Path and query. */
  address: string;
  status: number;
  type: string;
  /** Name under which a browser would save it; null where it is shown. */
  fileName: string | null;
  text: string;
}

interface Linked {
  querySelectorAll(selector: string): Iterable<{ getAttribute(name: string): string | null }>;
}

/** Where a page leads by its links, as path and query; anchors of the page itself lead nowhere. */
function linksOf(text: string, address: string, origin: string): string[] {
  const { document } = parseHTML(text) as unknown as { document: Linked };
  return [...document.querySelectorAll('a[href]')].flatMap((link) => {
    const url = new URL(link.getAttribute('href') ?? '', `${origin}${address}`);
    return url.origin === origin ? [`${url.pathname}${url.search}`] : [];
  });
}

/** A day, or a draw, beside one that was walked: the day before leads to the day before it, without an end. */
const BESIDE = /^(?:.*\/feed-sheet|.*\/hay-lots\/[^/]+)\?/;

/** Signs in by the form. @returns headers that open pages as this person. */
export async function signedInToPages(
  origin: string,
  { email, passphrase }: { email: string; passphrase: string },
): Promise<Record<string, string>> {
  const answer = await fetch(`${origin}/yard/sign-in`, {
    method: 'POST',
    redirect: 'manual',
    headers: { 'Content-Type': 'application/x-www-form-urlencoded', Origin: origin },
    body: new URLSearchParams({ email, passphrase }),
  });
  return { Cookie: (answer.headers.getSetCookie()[0] ?? '').split(';')[0] ?? '', Accept: 'text/html' };
}

/**
 * Every page under `/yard` that somebody reaches from their start page by links, each address once; of the days and
 * draws beside a page one step, and of files what `follow` lets through.
 */
export async function walkedPages(
  origin: string,
  headers: Record<string, string>,
  follow: (address: string) => boolean = () => true,
): Promise<WalkedPage[]> {
  const pages: WalkedPage[] = [];
  const known = new Set(['/yard']);
  for (const address of known) {
    const answer = await fetch(`${origin}${address}`, { headers, redirect: 'manual' });
    const type = answer.headers.get('content-type') ?? '';
    const fileName = /filename="([^"]*)"/.exec(answer.headers.get('content-disposition') ?? '')?.[1] ?? null;
    const text = type.startsWith('application/pdf') ? '' : await answer.text();
    pages.push({ address, status: answer.status, type, fileName, text });
    if (!type.startsWith('text/html') || BESIDE.test(address)) continue;
    for (const next of linksOf(text, address, origin)) if (next.startsWith('/yard') && follow(next)) known.add(next);
  }
  return pages;
}
