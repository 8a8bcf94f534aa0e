type KeysWithUndefined<T> = { [K in keyof T]-?: undefined extends T[K] ? K : never }[keyof T];

/** `T` with each key that may be `undefined` made optional, and then never `undefined`. */
export type OmitUndefined<T> = {
  readonly [K in Exclude<keyof T, KeysWithUndefined<T>>]: T[K];
} & { readonly [K in KeysWithUndefined<T>]?: Exclude<T[K], undefined> };

/**
 * The same record without the keys whose value is `undefined`, so that a key that is there has a value.
 *
 * @example
 * Object.keys(omitUndefined({ a: 1, b: undefined })) // => ["a"]
 */
export const omitUndefined = <const T extends object>(record: T): OmitUndefined<T> =>
  Object.fromEntries(Object.entries(record).filter(([, value]) => value !== undefined)) as OmitUndefined<T>;
