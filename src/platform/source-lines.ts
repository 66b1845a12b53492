import { readFileSync } from 'node:fs';
import { SourceMap, type SourceMapPayload } from 'node:module';
import path from 'node:path';

const PLACE = /((?:[A-Za-z]:)?[^\s():]+\.js):(\d+):(\d+)/g;

/**
 * A stack with the lines of the sources instead of the built files. The maps are read when an error is logged: Node's
 * own switch reads all of them at every start and keeps them.
 */
export function inSources(stack: string): string {
  return stack.replaceAll(PLACE, (place, file: string, line: string, column: string) => {
    const map = mapOf(file);
    const found = map?.findEntry(Number(line) - 1, Number(column) - 1);
    if (found === undefined || !('originalSource' in found)) return place;
    const source = path.resolve(path.dirname(file), found.originalSource);
    return `${source}:${found.originalLine + 1}:${found.originalColumn + 1}`;
  });
}

function mapOf(file: string): SourceMap | undefined {
  if (file.includes('node_modules')) return undefined;
  try {
    return new SourceMap(JSON.parse(readFileSync(`${file}.map`, 'utf8')) as SourceMapPayload);
  } catch {
    // A file that was not built, or without a map: its own lines have to do.
    return undefined;
  }
}
