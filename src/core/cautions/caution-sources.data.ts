/** Whether the figure was read in the cited page, is only remembered, or is a rule that nobody published. */
export type SourceStatus =
  | 'confirmed in page'
  | 'from memory'
  | 'common practice, no source'
  | 'arithmetic on atomic masses';

interface CautionSource {
  readonly citation: string;
  readonly status: SourceStatus;
}

const confirmed = (citation: string) => ({ citation, status: 'confirmed in page' }) as const;
const remembered = (citation: string) => ({ citation, status: 'from memory' }) as const;

/** Where the thresholds of the caution catalogue come from, by a key of our own. */
export const CAUTION_SOURCES = {
  clemsonNitrate: confirmed(
    'Clemson University Agricultural Service Laboratory, Nitrate level (nitrate nitrogen, dry matter basis)',
  ),
  newMexicoNitrate: confirmed(
    'Allison, C.D. 2010, Nitrate Poisoning of Livestock, New Mexico State University B-807, and South Dakota ' +
      'State University ExEx4015 (table of four bands)',
  ),
  sixBandNitrate: confirmed(
    'Livestock hazard ratings for nitrate nitrogen in six bands, a commercial laboratory guide read in a copy; ' +
      'no public original found',
  ),
  manitobaNitrate: confirmed(
    'Manitoba Agriculture, Utilizing High Nitrate Feeds Safely, Table 1 (percent nitrate of dry matter)',
  ),
  kansasPrussicAcid: confirmed(
    'Bean, B., in Kansas State University Agronomy eUpdate 302, Prussic acid in sorghum following a hard freeze',
  ),
  pennsylvaniaPrussicAcid: confirmed(
    'Prussic acid risk in warm season annuals after frost, extension column 2020-10-05: 0.1 % of dry tissue',
  ),
  purdueHayHeating: confirmed('Burbrink, J. 2024, Rain, moist hay can lead to spontaneous fires, Purdue Extension'),
  kentuckyHayHeating: confirmed(
    'Overhults, D., University of Kentucky, 2004-03-10, Temperature checking hay can keep fires at bay',
  ),
  californiaHayHeating: confirmed(
    'California Dairy Quality Assurance Program 2020, Preventing and controlling hay fires',
  ),
  cornellHayMoisture: confirmed(
    'Cornell University safety guidance on hay fires, as quoted in a mailing list: 20 % small bales, 16 % large bales',
  ),
  tetanyRatio: confirmed('Rahman, M.H. et al. 2022, Open Access Library Journal 9:1-24, doi 10.4236/oalib.1109149'),
  ohioTetany: confirmed('Martin, C. 2024-02-28, Ohio State University Extension, grass tetany and magnesium'),
  arkansasMinerals: confirmed(
    'Gadberry, S., MP391, University of Arkansas Division of Agriculture (1996 NRC edition), Table 1',
  ),
  merckTraceMaxima: confirmed(
    'National Academies 2016, maximum tolerable amounts of beef cattle, as printed by the Merck Veterinary Manual',
  ),
  nrcVitaminTolerance: remembered('National Research Council 1987, Vitamin Tolerance of Animals'),
  nrcMineralTolerance: remembered(
    'National Research Council 2005, Mineral Tolerance of Animals, cattle: magnesium 0.6 %, potassium 2 %, ' +
      'phosphorus 0.7 %, salt 4.5 % of dry matter (milking cows 3 %)',
  ),
  januaryNormals: remembered(
    'National Oceanic and Atmospheric Administration, U.S. Climate Normals 1991-2020: January means of Montana, ' +
      'Wyoming, the Dakotas and Nebraska, some 10 to 25 °F',
  ),
  livestockWeather: remembered(
    'Livestock Conservation Institute 1970, livestock weather safety index: alert 75, danger 79, emergency 84',
  ),
  nrcCalciumPhosphorus: remembered(
    'National Research Council, Nutrient Requirements of Beef Cattle: calcium to phosphorus 1:1 to 7:1 ' +
      'tolerated if phosphorus is adequate',
  ),
  sulfurLowForage: confirmed(
    'National Academy limits quoted in an extension article on excess sulfur: 0.30 % where forage is under 15 % ' +
      'of dry matter',
  ),
  sulfurHighForage: remembered(
    'National Academy limits: 0.50 % where forage is over 40 % of dry matter (class read in the page, figure ' +
      'from memory)',
  ),
  sulfurAntagonism: confirmed(
    'Arthington, J. 2013, Know the sulfur content of your forage, UF/IFAS Range Cattle REC, Ona Report, May 2013',
  ),
  legumeBloat: remembered(
    'General extension guidance: keep grass above half of a legume stand; wet, lush, pre-bloom legume is the risk',
  ),
  illinoisAcidosis: confirmed(
    'University of Illinois Extension, Cattle Connection 2015-01-16, Avoiding acidosis: starch supplement over ' +
      '0.5 % of body weight',
  ),
  effectiveFiber: remembered(
    'National Academies 2016: physically effective fiber at least about 7 to 10 % of dry matter',
  ),
  manitobaAdaptation: confirmed(
    'Manitoba Agriculture, Utilizing High Nitrate Feeds Safely: adapt slowly, one to two weeks',
  ),
  ureaShare: confirmed(
    'Model rules of the Association of American Feed Control Officials as adopted by Colorado (8 CCR 1202-6 part 9) ' +
      'and Illinois (8 Ill. Adm. Code 200.75): a feed with more than one third of its crude protein from ' +
      'non-protein nitrogen carries a caution; extension guidance holds whole rations to it too (from memory)',
  ),
  ureaOfDryMatter: remembered('Extension guidance: urea at most 1 % of the dry matter of the ration'),
  ureaToxicDose: confirmed(
    'Lorgue, Lechenet & Riviere, Clinical Veterinary Toxicology: 0.3 to 0.5 g of urea a kg is toxic to cattle, 1 to ' +
      '1.5 g kills; hunger, an abrupt change of diet and lack of water make it worse',
  ),
  ureaByDrench: confirmed(
    'Urea Toxicity Studies in the Bovine, 1969, J. Anim. Sci. 29:786: 0.44 g per kg by drench killed three fasted cows',
  ),
  ohioUreaCalves: confirmed(
    'Little, C. 2019-12-04, Supplementing Poor Quality Hay, Ohio State University Extension: no urea for calves ' +
      'under 450 lb',
  ),
  arizonaProtein: confirmed(
    'Sprinkle, J.E., AZ9523, University of Arizona Cooperative Extension, rev. 12/11: 7 % crude protein',
  ),
  ahdbStraw: confirmed(
    'Agriculture and Horticulture Development Board advice on straw impaction: at least 9 % crude protein of ' +
      'diet dry matter',
  ),
  montanaDissolvedSolids: confirmed('Endecott, R. 2017, Cow Sense summer 2017, Montana State University Extension'),
  saskatchewanSulfate: confirmed('Saskatchewan Research Council, Livestock Watering Package: sulfate 1000 mg/L'),
  northDakotaSulfate: confirmed(
    'North Dakota State University Extension, livestock water quality: sulfate under 500 mg/L for calves, under ' +
      '1000 mg/L for adult cattle',
  ),
  southDakotaSulfate: confirmed(
    'South Dakota State University Extension 2012, as printed in Farm News: above 3000 ppm sulfate is acutely toxic ' +
      'and contributes to polioencephalomalacia; 2000 to 3000 ppm reduces performance',
  ),
  prairieSulfate: confirmed(
    'The Western Producer 2015, drought and sulfate in cattle: above 2000 ppm signs of nervous disease may be seen',
  ),
  nebraskaSnow: confirmed(
    'Rasby, R., University of Nebraska: dry cattle can live on clean loose snow, milking cows are unlikely to',
  ),
  kentuckyBotulism: confirmed(
    'Arnold, M. and Lehmkuhler, J. 2015, University of Kentucky: pH under 4.5; moisture over 70 % almost ' +
      'guarantees clostridial activity',
  ),
  kentuckySpoilage: confirmed(
    'University of Kentucky, Awareness is key to protecting livestock from spoiled silage, hay and grain: mold ' +
      'at 20 % moisture and above',
  ),
  georgiaMold: confirmed(
    'Ray, L., University of Georgia Extension, Look out for moldy hay: slightly to moderately moldy hay, up to ' +
      '1 million spores per gram, is relatively safe for cattle',
  ),
  georgiaBaleage: confirmed(
    'University of Georgia Extension 2021-09, Tips for feeding baleage: never open to the air for more than two days ' +
      'while it is fed, nor for more than one where the day is warmer than 60 °F',
  ),
  nebraskaHeatDamage: confirmed(
    'Anderson, B., University of Nebraska Extension, Testing and feeding tobacco-brown hay and silage: protein bound ' +
      'by heat above 10 % of crude protein counts',
  ),
  pennStateHotHay: confirmed(
    'Hall, M., Penn State Extension: the slightest odor of smoldering hay, or a stack warm or hot to the touch, ' +
      'signals that a fire may already be burning',
  ),
  nftaSampling: confirmed(
    'Putnam, D. and Orloff, S., Recommended principles for proper hay sampling, National Forage Testing Association',
  ),
  montanaSampling: confirmed('Chouteau County (Montana) Extension 2019-11-06: one core from at least 20 bales'),
  fassFeederSpace: confirmed(
    'Federation of Animal Science Societies 2020, Guide for the Care and Use of Agricultural Animals, as ' +
      'tabulated by Penn State Extension (Briggs)',
  ),
  missouriBunkSpace: confirmed('Larson, R., University of Missouri Extension, bunk space for calves'),
  chemistry: {
    citation: 'Standard atomic masses (IUPAC): N 14.007, O 15.999, S 32.06, K 39.098',
    status: 'arithmetic on atomic masses',
  },
  commonPractice: { citation: 'common practice, no source', status: 'common practice, no source' },
} as const satisfies Record<string, CautionSource>;

export type CautionSourceKey = keyof typeof CAUTION_SOURCES;
