import type { Link } from '../links.js';
import type { Drawing } from './draw-plot.js';

export interface Column {
  title: string;
  /** Numbers are right-aligned. */
  numbers?: boolean;
  /** Width relative to the other columns; 1 if absent. */
  width?: number;
}

/** The content of a report, on screen or on paper. */
export type Block =
  | { kind: 'heading'; text: string }
  | { kind: 'words'; text: string; strong?: boolean }
  | { kind: 'mark'; text: string }
  | { kind: 'list'; items: readonly string[] }
  /** On a screen only: where one goes from here. */
  | { kind: 'ways'; links: readonly Link[] }
  | { kind: 'table'; columns: readonly Column[]; rows: readonly (readonly string[])[]; caption?: string }
  | { kind: 'picture'; drawing: Drawing; caption: string };

export interface ReportDocument {
  title: string;
  subtitle: string;
  paper: 'letter' | 'a4';
  written: string;
  blocks: readonly Block[];
}
