import type { StorageFormat } from "../../curve/index.js";
import type { QuantityReading } from "../../text/index.js";
import type { BuildContext } from "../document.js";

interface RawStorage {
  readonly step: QuantityReading;
  readonly from: QuantityReading;
  readonly to: QuantityReading;
}

/** Storage whose codes count up from its least value. */
export function buildStorage(
  raw: RawStorage,
  step: number,
  path: string,
  context: BuildContext,
): StorageFormat | undefined {
  if (!rises(raw, path, context)) return undefined;
  const { value: from } = raw.from;
  const { value: to } = raw.to;
  if (!(step <= to - from)) {
    context.fault(`${path}.step`, {
      code: "E_DOMAIN",
      message: "a step larger than the whole range",
      found: `'${raw.step.text}'`,
      accepted: `at most the way from ${raw.from.text} to ${raw.to.text}`,
    });
    return undefined;
  }
  return { step, offset: from, from, to };
}

/** Whether `to` lies above `from`; a collected fault when not. */
export function rises(
  raw: { readonly from: QuantityReading; readonly to: QuantityReading },
  path: string,
  context: BuildContext,
): boolean {
  if (raw.from.value < raw.to.value) return true;
  context.fault(`${path}.to`, {
    code: "E_ORDER",
    message: "'to' must lie above 'from'",
    found: `'${raw.to.text}' after '${raw.from.text}'`,
    accepted: `more than ${raw.from.text}`,
  });
  return false;
}
