// The eight ways a camera can say that a picture lies (CIPA DC-008, Orientation).

/** turned is the matrix that puts a stored picture of w × h px upright, as SVG and canvas write one. */
export function turned(turn: number, w: number, h: number): [number, number, number, number, number, number] {
	switch (turn) {
		case 2:
			return [-1, 0, 0, 1, w, 0];
		case 3:
			return [-1, 0, 0, -1, w, h];
		case 4:
			return [1, 0, 0, -1, 0, h];
		case 5:
			return [0, 1, 1, 0, 0, 0];
		case 6:
			return [0, 1, -1, 0, h, 0];
		case 7:
			return [0, -1, -1, 0, h, w];
		case 8:
			return [0, -1, 1, 0, 0, w];
		default:
			return [1, 0, 0, 1, 0, 0];
	}
}
