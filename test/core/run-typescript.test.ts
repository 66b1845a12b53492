import { spawnSync } from 'node:child_process';
import path from 'node:path';

const checkout = path.resolve(__dirname, '..', '..');

/** What `npm run dev` and the started programs of the fault tests run by. */
describe("the checkout's TypeScript as Node runs it", () => {
  it('loads a source that is imported only when it is needed: the first printed report', () => {
    const source = path.join(checkout, 'src', 'pages', 'document', 'as-paper.ts');
    const program = `require(${JSON.stringify(source)})
      .asPaper({ title: 'Hay position', subtitle: '', paper: 'letter', written: '2026-11-25T18:00:00Z', blocks: [] })
      .then((pdf) => process.stdout.write(pdf.toString('latin1', 0, 5)))`;
    const hook = path.join(checkout, 'test', 'support', 'run-typescript.cjs');
    const { stdout, stderr } = spawnSync(process.execPath, ['--require', hook, '-e', program], { encoding: 'utf8' });
    expect({ stdout, stderr }).toEqual({ stdout: '%PDF-', stderr: '' });
  });
});
