/**
 * The least total cost of giving each of n rows a column of its own: the Hungarian method in its shortest augmenting
 * path form, O(n³) (H. W. Kuhn, Naval Research Logistics Quarterly 2 (1955) 83–97; R. Jonker, A. Volgenant,
 * Computing 38 (1987) 325–340). The dual values it ends with prove the answer.
 */
export function cheapestAssignment(n: number, cost: (row: number, column: number) => number): number {
  const rowPrice = new Float64Array(n + 1);
  const columnPrice = new Float64Array(n + 1);
  const rowOf = new Int32Array(n + 1); // row (from 1) that has the column; 0 none
  const before = new Int32Array(n + 1);
  for (let row = 1; row <= n; row++) {
    rowOf[0] = row;
    let column = 0;
    const least = new Float64Array(n + 1).fill(Infinity);
    const used = new Uint8Array(n + 1);
    do {
      used[column] = 1;
      const from = rowOf[column]!;
      let step = Infinity;
      let next = 0;
      for (let c = 1; c <= n; c++) {
        if (used[c]) continue;
        const reduced = cost(from - 1, c - 1) - rowPrice[from]! - columnPrice[c]!;
        if (reduced < least[c]!) {
          least[c] = reduced;
          before[c] = column;
        }
        if (least[c]! < step) {
          step = least[c]!;
          next = c;
        }
      }
      for (let c = 0; c <= n; c++) {
        if (used[c]) {
          rowPrice[rowOf[c]!]! += step;
          columnPrice[c]! -= step;
        } else least[c]! -= step;
      }
      column = next;
    } while (rowOf[column] !== 0);
    while (column !== 0) {
      const previous = before[column]!;
      rowOf[column] = rowOf[previous]!;
      column = previous;
    }
  }
  let sum = 0;
  for (let c = 1; c <= n; c++) sum += cost(rowOf[c]! - 1, c - 1);
  return sum;
}
