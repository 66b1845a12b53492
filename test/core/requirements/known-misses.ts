const CP_1984 =
  'The page works with the crude protein system before 1996; here CP is metabolizable protein / 0.67 (Arkansas MP391).';
const P_OLD =
  'The page carries the phosphorus need of before 1996, about a fifth higher than the factorial NRC 2000 equation.';
const WATER_OTHER =
  'The page prints one figure for a class without weight or from other data; NRC 2000 as tabulated after ' +
  'Winchester & Morris 1956 differs.';

/** Why a published figure is missed. A figure that is met again must leave this list: the test sees to it. */
export const KNOWN_MISSES: Readonly<Record<string, string>> = {
  'req-cow1000-month12/TDN_pct':
    'The remembered table is 1.8 TDN points lower: the NRC cubics put the NEm of poor forage lower than the ' +
    'table does (44.9 % TDN with 0.37 Mcal/lb against 0.356 by the cubic), and the calf weight of the table is ' +
    'not known.',
  'req-cow1200-gest8/CP_pct':
    'Met within 0.07; the page is a rounded table whose calf weight and day of gestation are not stated.',
  'req-cow1200-gest8/TDN_pct':
    'Met within 0.4 points; the page is a rounded table whose calf weight and day of gestation are not stated.',
  'req-cow-late-rise/TDN rise':
    'The exponential need of the calf over the two months gives 18 %; the page rounds monthly table values to ' +
    '15 to 17 %.',
  'req-cow1000-latepreg-cp/CP_pct':
    'The page gives 7.0 % with 1.6 lb, which is 22.9 lb of dry matter; the intake equation gives 21 lb. The ' +
    'pounds are met.',
  'req-cow1000-lact10-cp/CP_pct': 'The pounds are met; the page divides by a lower intake.',
  'req-cow1000-latepreg-minerals/P_pct': P_OLD,
  'req-cow1000-latepreg-minerals/P_oz': P_OLD,
  'az-cow1000-lact10-minerals/P_oz': P_OLD,
  'req-cow1000-midpreg-cp/CP_lb': CP_1984,
  'req-cow1000-lact7-cp/CP_lb':
    'Met within 0.03 lb of the published range; the page works with the crude protein system before 1996.',
  'az-cow1000-lact18-cp/CP_lb':
    'The page cannot be met beside its own figure for 10 lb of milk (2.0 lb, met here): from 10 to 18 lb it ' +
    'adds 0.14 to 0.24 lb of crude protein, while 8 lb of milk at 3.4 % protein hold 0.27 lb before any loss in ' +
    'turning feed into milk.',
  'req-heifer650-1.0/TDN_pct':
    'The page states neither mature weight nor intake; with 1200 lb mature weight the equations need less. A ' +
    'smaller mature weight comes nearer.',
  'req-heifer650-1.0/CP_pct':
    'The page states neither mature weight nor intake; with 1200 lb mature weight the equations need less.',
  'water-dry-pregnant-cow-70F/water':
    'The page prints one figure for a cow without weight. The NRC 2000 table (from memory) has 36.7 L at 409 kg ' +
    'and 32.9 L at 500 kg; 10.8 gal (40.9 L) is also what the page prints for finishing cattle of 800 lb. What ' +
    'is provided is the larger of the table and the figure from dry matter.',
  'water-ndsu-lactating-cow-1100lb-88F/water': WATER_OTHER,
  'water-ndsu-pregnant-cow-1100lb-88F/water': WATER_OTHER,
  'water-750-lb-pregnant-heifer-80F/water':
    'The two hottest cells of the table come from the cow of the same page; it gives no row for light heifers, ' +
    'so the larger figure stands.',
  'water-750-lb-pregnant-heifer-90F/water':
    'The two hottest cells of the table come from the cow of the same page; it gives no row for light heifers, ' +
    'so the larger figure stands.',
  'rfv-29-36/RFV printed': 'The page rounds digestibility and intake before it multiplies; full precision gives 171.3.',
  'rfv-30-40/RFV printed': 'The page prints a round target; full precision gives 152.4.',
};
