interface AxesProps {
	across: string;
	upward?: string | undefined; // or else
	down?: string | undefined;
	high: number; // of the picture
}

// <Axes across="x" upward="y" high={300}> is the corner of a drawing that says which axis runs which way, at the
// bottom where the second one points up, at the top where it points down.
// Props: across, upward or down, high.  Calls: nothing.
export function Axes({ across, upward, down, high }: AxesProps) {
	return upward ? (
		<g class="axes">
			<path d={`M16 ${high - 16}h46m-9 -4l9 4l-9 4M16 ${high - 16}v-46m-4 9l4 -9l4 9`} />
			<text x="68" y={high - 10}>
				{across}
			</text>
			<text x="12" y={high - 70}>
				{upward}
			</text>
		</g>
	) : (
		<g class="axes">
			<path d="M16 16h46m-9 -4l9 4l-9 4M16 16v46m-4 -9l4 9l4 -9" />
			<text x="68" y="22">
				{across}
			</text>
			<text x="12" y="82">
				{down}
			</text>
		</g>
	);
}
