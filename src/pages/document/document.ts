import type { Drawing } from './draw-plot.js';

export interface Column {
  title: string;
  /** Numbers stand right. */
  numbers?: boolean;
  /** Share of the width beside the others; 1 if absent. */
  width?: number;
}

/** What a report is made of, whether it is read on a screen or on paper. */
export type Block =
  | { kind: 'heading'; text: string }
  | { kind: 'words'; text: string; strong?: boolean }
  | { kind: 'mark'; text: string }
  | { kind: 'list'; items: readonly string[] }
  | { kind: 'table'; columns: readonly Column[]; rows: readonly (readonly string[])[]; caption?: string }
  | { kind: 'picture'; drawing: Drawing; caption: string };

export interface ReportDocument {
  title: string;
  subtitle: string;
  paper: 'letter' | 'a4';
  written: string;
  blocks: readonly Block[];
}
