/**
 * Element `i` of a list that is known to have it.
 *
 * @throws `RangeError` when the list has no such element: an internal error, not a caller's
 * @example
 * at([10, 20], 1) // => 20
 */
export function at<T>(list: ArrayLike<T>, i: number): T {
  if (!(i >= 0 && i < list.length)) throw new RangeError(`no element ${i} in a list of ${list.length}`);
  return list[i] as T;
}
