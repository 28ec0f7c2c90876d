/** What must be there: in the place of a cast, so that a mistake is an error where it happens. */

/** The value; throws TypeError if it is null or undefined. */
export function must<T>(value: T | null | undefined): T {
  if (value === null || value === undefined) throw new TypeError("nothing where something must be");
  return value;
}

/** The item of a list at `index`; throws RangeError where the list has none there. */
export function at<T>(list: ArrayLike<T>, index: number): T {
  const item = list[index];
  if (item === undefined) throw new RangeError(`nothing at ${index} of ${list.length}`);
  return item;
}
