// Lengths in words: millimetres with one decimal, inches in thirty-seconds.

const THIN_SPACE = "\u2009";

export function length(mm, units) {
  if (units !== "inch") return `${mm.toFixed(1)}${THIN_SPACE}mm`;
  if (mm < 0) return `\u2212${length(-mm, units)}`;
  const parts = Math.round((mm / 25.4) * 32);
  const whole = Math.floor(parts / 32);
  let over = parts % 32;
  let under = 32;
  while (over && over % 2 === 0) {
    over /= 2;
    under /= 2;
  }
  const words = [];
  if (whole || !over) words.push(String(whole));
  if (over) words.push(`${over}/${under}`);
  return `${words.join(" ")}${THIN_SPACE}in`;
}
