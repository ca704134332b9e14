/** Takes the place of a fault in a file apart: "row 12, outcome" is row 12 and column outcome. */
export function splitPlace(place: string): { row: string; column: string } {
  const found = /^row (\d+)(?:, (.+))?$/.exec(place)
  return found ? { row: found[1]!, column: found[2] ?? '' } : { row: '', column: place }
}
