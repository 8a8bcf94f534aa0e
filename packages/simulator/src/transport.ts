/**
 * Gas on its way from the cylinder to the lambda sensor. It first waits a delay (constant part plus revolutions
 * over engine speed), then travels as a plug: it arrives once the exhaust behind it has pushed the pipe's mass out.
 * In a steady flow that is fixed + revolutions/speed + gasMass/flow.
 */
export interface Transport {
  /** Puts in what left over one step and gives what arrives at its end: the value and its age [s]. */
  readonly step: (
    value: number,
    wait: number,
    flow: number,
  ) => { readonly value: number; readonly age: number };
}

export function makeTransport(step: number, gasMass: number, initial: number): Transport {
  const values: number[] = [];
  const waits: number[] = [];
  /** Exhaust mass passed up to the end of each step [kg]. */
  const passed: number[] = [];
  let arrived = -1;
  let total = 0;
  return {
    step: (value, wait, flow) => {
      total += Math.max(flow, 1e-6) * step;
      values.push(value);
      waits.push(wait);
      passed.push(total);
      const now = values.length - 1;
      // An element has arrived when it waited and the mass that passed since it entered the pipe fills the pipe.
      for (;;) {
        const next = arrived + 1;
        if (next > now) break;
        const entered = next + waits[next]! / step;
        if (entered > now) break;
        const whole = Math.floor(entered);
        const from = passed[whole]! + (entered - whole) * ((passed[whole + 1] ?? total) - passed[whole]!);
        if (total - from < gasMass) break;
        arrived = next;
      }
      return arrived < 0
        ? { value: initial, age: Number.NaN }
        : { value: values[arrived]!, age: (now - arrived) * step };
    },
  };
}
