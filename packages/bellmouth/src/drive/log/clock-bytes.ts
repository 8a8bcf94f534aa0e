/** Seconds of `HH:MM:SS`, `HH:MM:SS.f…` in bytes; -1 where it is written in another way. */
export function clockBytes(bytes: Uint8Array, start: number, end: number): number {
  const two = (at: number): number => {
    const tens = (bytes[at] as number) - 48;
    const ones = (bytes[at + 1] as number) - 48;
    return tens >= 0 && tens <= 9 && ones >= 0 && ones <= 9 ? tens * 10 + ones : -1;
  };
  if (end - start < 8 || bytes[start + 2] !== 58 || bytes[start + 5] !== 58) return -1;
  const hours = two(start);
  const minutes = two(start + 3);
  const whole = two(start + 6);
  if (!(hours >= 0 && minutes >= 0 && minutes < 60 && whole >= 0 && whole < 61)) return -1;
  let mantissa = whole;
  let digits = 0;
  if (end > start + 8) {
    const mark = bytes[start + 8];
    digits = end - start - 9;
    if ((mark !== 46 && mark !== 44) || digits < 1 || digits > 9) return -1;
    for (let i = start + 9; i < end; i++) {
      const digit = (bytes[i] as number) - 48;
      if (!(digit >= 0 && digit <= 9)) return -1;
      mantissa = mantissa * 10 + digit;
    }
  }
  const seconds = mantissa / 10 ** digits;
  return seconds < 61 ? hours * 3600 + minutes * 60 + seconds : -1;
}
