/**
 * Fuel on the manifold wall: dF/dt = X inj - F/tau, cylinders get (1 - X) inj + F/tau. Exact over a step of
 * constant injection, and fuel is conserved: what the cylinders get is what was injected less what the film gained.
 *
 * @source C. F. Aquino, "Transient A/F control characteristics of the 5 liter central fuel injection engine",
 *   SAE 810494 (1981).
 */
export function wetWall(
  film: number,
  injected: number,
  fraction: number,
  time: number,
  step: number,
): { readonly film: number; readonly delivered: number } {
  const rest = fraction * injected * time;
  const next = rest + (film - rest) * Math.exp(-step / time);
  return { film: next, delivered: injected - (next - film) / step };
}

/**
 * Injection that makes the cylinders get `wanted` [kg/s] if the film were as the ECU believes: the inverse of the
 * model with the believed fraction and film.
 */
export function compensate(
  wanted: number,
  believedFilm: number,
  believedFraction: number,
  time: number,
): number {
  return Math.max(0, (wanted - believedFilm / time) / (1 - believedFraction));
}
