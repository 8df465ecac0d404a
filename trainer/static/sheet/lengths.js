// Lengths in words: metres, or feet and inches. Everything is kept in metres.

const INCH = 0.0254;
const FOOT = 0.3048;

/** A length as people write it: "2.35 m" or "7′ 9″". */
export function lengthWords(metres, units = "m", places = 2) {
  if (units !== "ft") return `${metres.toFixed(places)} m`;
  const inches = Math.round(Math.abs(metres) / INCH);
  const sign = metres < 0 && inches ? "−" : "";
  const feet = Math.floor(inches / 12);
  return feet ? `${sign}${feet}′ ${inches % 12}″` : `${sign}${inches}″`;
}

/** An area as people write it. */
export function areaWords(squareMetres, units = "m") {
  return units === "ft" ? `${(squareMetres / FOOT ** 2).toFixed(0)} ft²` : `${squareMetres.toFixed(1)} m²`;
}

/** What a coordinate field shows: a bare figure in metres, or feet and inches. */
export function fieldWords(metres, units = "m") {
  return units === "ft" ? lengthWords(metres, "ft") : metres.toFixed(2);
}

/** Metres from what somebody typed, or NaN: 2.5, 2,5, 2.5 m, 7' 9", 7′ 9″, 7 ft 9 in, 7.75 (in the given units). */
export function readLength(text, units = "m") {
  const plain = text.trim().replace(",", ".").replace("−", "-").replace(/[′’]/g, "'").replace(/[″”]/g, '"');
  const imperial = plain.match(/^(-)?(?:(\d+(?:\.\d+)?) ?(?:'|ft|feet)) ?(?:(\d+(?:\.\d+)?) ?(?:"|in|inches)?)?$/);
  if (imperial) {
    const value = Number(imperial[2]) * FOOT + Number(imperial[3] ?? 0) * INCH;
    return imperial[1] ? -value : value;
  }
  const inches = plain.match(/^(-)?(\d+(?:\.\d+)?) ?(?:"|in|inches)$/);
  if (inches) return (inches[1] ? -1 : 1) * Number(inches[2]) * INCH;
  const metric = plain.match(/^(-?\d+(?:\.\d+)?) ?(m)?$/);
  if (!metric) return NaN;
  return metric[2] || units !== "ft" ? Number(metric[1]) : Number(metric[1]) * FOOT;
}
