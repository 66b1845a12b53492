import type { Body } from './writer.js';

export const lb = (value: string): Body => ({ value, unit: 'lb' });
export const ton = (value: string): Body => ({ value, unit: 'ton' });
export const pounds = (value: string): Body => ({ weight: lb(value) });
export const tons = (value: string): Body => ({ weight: ton(value) });
/** A net weight, as a receipt takes it. */
export const net = (value: string): Body => ({ basis: 'net', net: ton(value) });
