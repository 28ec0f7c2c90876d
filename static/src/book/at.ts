/** Reading a list at a position that it must have. */

/** The item at `index`; throws RangeError where the list has none there. */
export function at<T>(list: ArrayLike<T>, index: number): T {
  const item = list[index];
  if (item === undefined) throw new RangeError(`nothing at ${index} of ${list.length}`);
  return item;
}
