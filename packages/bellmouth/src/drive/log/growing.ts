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

export function makeGrowing(): Growing {
  let pages: Float64Array[] = [];
  let used = PAGE;
  let page = new Float64Array(0);
  const more = (): void => {
    page = new Float64Array(PAGE);
    pages.push(page);
    used = 0;
  };
  const length = (): number => (pages.length === 0 ? 0 : (pages.length - 1) * PAGE + used);
  return {
    push(value) {
      if (used === PAGE) more();
      page[used++] = value;
    },
    append(values, from, to) {
      let at = from;
      while (at < to) {
        if (used === PAGE) more();
        const n = Math.min(PAGE - used, to - at);
        page.set(values.subarray(at, at + n), used);
        used += n;
        at += n;
      }
    },
    length,
    at: (index) => (pages[Math.floor(index / PAGE)] as Float64Array)[index % PAGE] as number,
    set(index, value) {
      (pages[Math.floor(index / PAGE)] as Float64Array)[index % PAGE] = value;
    },
    take() {
      const all = new Float64Array(length());
      for (let i = 0; i < pages.length; i++) {
        const part = pages[i] as Float64Array;
        all.set(i === pages.length - 1 ? part.subarray(0, used) : part, i * PAGE);
        // Let each page go as soon as it is copied.
        pages[i] = new Float64Array(0);
      }
      pages = [];
      page = new Float64Array(0);
      used = PAGE;
      return all;
    },
  };
}
