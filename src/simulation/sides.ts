/** The two lanes of a belt and the two halves of a splitter, as indices. */
export const LEFT = 0;
export const RIGHT = 1;
