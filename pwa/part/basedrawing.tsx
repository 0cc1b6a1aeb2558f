interface BaseDrawingProps {
	choice: "standing" | "lying";
	says: string;
}

// <BaseDrawing choice="standing" says="…"> is a small drawing of how a header stands on its fixture: plate, flange,
// two tubes, posts below them.
// Props: choice, says (for readers).  Calls: nothing.
export function BaseDrawing({ choice, says }: BaseDrawingProps) {
	return (
		<svg class="base-drawing" viewBox="0 0 200 120" role="img" aria-label={says}>
			<path class="base-plate" d="M6 108h188v8H6z" />
			{choice === "standing" ? (
				<>
					<path class="base-flange" d="M14 100h84v8H14z" />
					<path class="base-tube" d="M34 100V62q0-32 32-32h84" />
					<path class="base-tube" d="M76 100V84q0-24 24-24h50" />
					<path class="base-post" d="M118 108V70M106 70h24M142 108V40M130 40h24" />
				</>
			) : (
				<>
					<path class="base-flange" d="M20 16h8v92h-8z" />
					<path class="base-tube" d="M28 36h52q20 0 26 18t26 18h50" />
					<path class="base-tube" d="M28 76h154" />
					<path class="base-post" d="M62 108V86M50 86h24M146 108V86M134 86h24" />
				</>
			)}
		</svg>
	);
}
