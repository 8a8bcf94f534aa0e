/**
 * Throws when plain data hold a number that is not finite, or a value that JSON has no word for.
 *
 * @param except paths (`cells[3].flow`) where missing samples may stand
 */
export function requireFinite(
  value: unknown,
  except: (path: string) => boolean = () => false,
  path = "",
): void {
  if (typeof value === "number") {
    if (!Number.isFinite(value) && !(Number.isNaN(value) && except(path)))
      throw new Error(`${path} is ${value}`);
    return;
  }
  if (value === null || typeof value === "string" || typeof value === "boolean") return;
  // Samples of a log are numbers in a row, plain or packed.
  if (Array.isArray(value) || value instanceof Float64Array) {
    Array.from<unknown>(value).forEach((item, i) => {
      requireFinite(item, except, `${path}[${i}]`);
    });
    return;
  }
  if (typeof value !== "object" || Object.getPrototypeOf(value) !== Object.prototype) {
    throw new Error(`${path} is no plain data: ${String(value)}`);
  }
  for (const [key, item] of Object.entries(value)) {
    // A field that is left out may also be there without a value.
    if (item !== undefined) requireFinite(item, except, path === "" ? key : `${path}.${key}`);
  }
}
