/** Lines are told apart by their dashes, not by colour. */
export const dashes = ['', '8 4', '2 4', '12 4 2 4', '5 3', '1 6', '14 6', '6 2 1 2']
