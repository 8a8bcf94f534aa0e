const PAGE = 1 << 15;

/** A list of numbers that grows by pages, so that growing never copies what is there. */
export interface Growing {
  readonly push: (value: number) => void;
  readonly append: (values: Float64Array, from: number, to: number) => void;
  readonly length: () => number;
  readonly at: (index: number) => number;
  readonly set: (index: number, value: number) => void;
  /** All values in one array; the list is empty afterwards. */
  readonly take: () => Float64Array;
}

/**
 * @remarks The first page after a `take` has room for as much as was taken and some more: lists that are taken again and again are then
 * given away without a copy.
 */
export function makeGrowing(): Growing {
  let pages: Float64Array[] = [];
  let page = new Float64Array(0);
  let used = 0;
  let first = PAGE;
  const more = (): void => {
    page = new Float64Array(pages.length === 0 ? first : PAGE);
    pages.push(page);
    used = 0;
  };
  const length = (): number => (pages.length < 2 ? used : first + (pages.length - 2) * PAGE + used);
  const place = (index: number): readonly [Float64Array, number] => {
    if (index < first) return [pages[0] as Float64Array, index];
    const rest = index - first;
    return [pages[1 + Math.floor(rest / PAGE)] as Float64Array, rest % PAGE];
  };
  return {
    push(value) {
      if (used === page.length) more();
      page[used++] = value;
    },
    append(values, from, to) {
      let at = from;
      while (at < to) {
        if (used === page.length) more();
        const n = Math.min(page.length - used, to - at);
        page.set(values.subarray(at, at + n), used);
        used += n;
        at += n;
      }
    },
    length,
    at(index) {
      const [part, i] = place(index);
      return part[i] as number;
    },
    set(index, value) {
      const [part, i] = place(index);
      part[i] = value;
    },
    take() {
      const count = length();
      let all = page.subarray(0, used);
      if (pages.length > 1) {
        all = new Float64Array(count);
        let at = 0;
        for (let i = 0; i < pages.length; i++) {
          const part = pages[i] as Float64Array;
          all.set(i === pages.length - 1 ? part.subarray(0, used) : part, at);
          at += part.length;
          // Let each page go as soon as it is copied.
          pages[i] = new Float64Array(0);
        }
      }
      pages = [];
      page = new Float64Array(0);
      used = 0;
      first = Math.max(PAGE, Math.ceil(1.1 * count));
      return all;
    },
  };
}
