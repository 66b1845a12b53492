/**
 * Two ways of adding feeding waste to what cattle eat. They differ by about 4 % of the hay at 20 % waste, so every need
 * names the one it followed.
 */
export const WASTE_CONVENTIONS = {
  divisor: {
    name: 'Eaten ÷ (1 − waste)',
    meaning: 'Waste is a share of the hay that is fed: of 100 lb fed at 20 % waste, 80 lb are eaten.',
    source: 'Iowa State University Extension (Iowa Beef Center), winter hay needs, as published 2021',
  },
  multiplier: {
    name: 'Eaten × (1 + waste)',
    meaning: 'Waste is added as a share of what is eaten: 80 lb eaten at 20 % waste need 96 lb fed.',
    source: 'University of Missouri Extension, E. Meusch, winter hay needs (High Plains Journal)',
  },
} as const;
export type WasteConvention = keyof typeof WASTE_CONVENTIONS;

/**
 * Waste is measured as a share of what disappears at the feeder (Buskirk et al. 2003), so the divisor fits the
 * measurements.
 */
export const DEFAULT_WASTE_CONVENTION: WasteConvention = 'divisor';
