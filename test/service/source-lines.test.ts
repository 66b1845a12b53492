/* A logged error names the lines of the sources, though the server runs what was built from them. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import ts from 'typescript';
import { inSources } from '../../src/platform/source-lines.js';

it('turns the places in a stack into those of the sources, and leaves others as they are', () => {
  const folder = mkdtempSync(path.join(tmpdir(), 'rickyard-lines-'));
  try {
    const source =
      'interface Gone {\n  a: number;\n}\n\nexport function fail(): Gone {\n  throw new Error("here");\n}\n';
    const { outputText, sourceMapText = '' } = ts.transpileModule(source, {
      compilerOptions: { module: ts.ModuleKind.CommonJS, target: ts.ScriptTarget.ES2022, sourceMap: true },
      fileName: 'fails.ts',
    });
    const built = path.join(folder, 'fails.js');
    writeFileSync(built, outputText);
    writeFileSync(`${built}.map`, sourceMapText);
    const line = outputText.split('\n').findIndex((one) => one.includes('throw')) + 1;
    expect(line).not.toBe(6);
    const other = `    at run (${path.join(folder, 'other.js')}:3:7)`;
    const told = inSources(`Error: here\n    at fail (${built}:${line}:11)\n${other}\n    at node:internal/x:1:2`);
    expect(told.split('\n')).toEqual([
      'Error: here',
      expect.stringMatching(/^ {4}at fail \(.*fails\.ts:6:\d+\)$/),
      other,
      '    at node:internal/x:1:2',
    ]);
  } finally {
    rmSync(folder, { recursive: true });
  }
});
