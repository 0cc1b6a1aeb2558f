import { asked } from "../lib/fields";
import { listOf } from "../lib/state";
import { measure } from "../lib/textmeasure";
import { Dimension } from "./dimension";
import { word } from "./known";

interface PieceDrawingProps {
	job: string;
	slot: string;
	label: string;
}

// <PieceDrawing job={…} slot="element/e1/clr" label="76.2 mm"> shows on a figure that is not to scale which
// dimension of a piece, a tube, a cylinder or a target is meant.
// Props: job, slot, label (the value as far as it is typed, or "?").  Calls: nothing.
export function PieceDrawing({ job, slot, label }: PieceDrawingProps) {
	const ask = asked(slot);
	const figure = ask ? FIGURES[`${ask.kind}/${ask.field.name}`] : undefined;
	if (!figure) return null;
	return (
		<figure class="drawing">
			<svg viewBox="0 0 760 300" role="img" aria-label={ask?.field.label}>
				{figure(label, ask?.kind === "element" && isFirstBend(job, ask.id))}
			</svg>
			<figcaption class="soft small">{measure.notToScale}</figcaption>
		</figure>
	);
}

type Draw = (label: string, isFirst: boolean) => preact.JSX.Element;

// A bend of 90° to the upper right: it comes from the left, about the centre 330, 70.
function Bend({ children }: { children?: preact.ComponentChildren }) {
	return (
		<g>
			<path class="line" d="M120 200H330A90 90 0 0 0 420 110V40M120 260H330A150 150 0 0 0 480 110V40" />
			<path class="axis" d="M90 230H330A120 120 0 0 0 450 110V20" />
			<path class="thin" d="M330 190v84M410 110h84M324 110h12M330 104v12" />
			<path class="thin" d="M158 230l-18 -6v12z" />
			{children}
		</g>
	);
}

const ring: Draw = (label) => (
	<g>
		<circle class="line" cx="380" cy="150" r="100" />
		<circle class="line" cx="380" cy="150" r="86" />
		<path class="axis" d="M260 150h240M380 30v240" />
		<Dimension from={[280, 150]} to={[480, 150]} label={`OD ${label}`} />
	</g>
);

const wall: Draw = (label) => (
	<g>
		<circle class="line" cx="300" cy="150" r="100" />
		<circle class="line" cx="300" cy="150" r="80" />
		<path class="axis" d="M180 150h240M300 30v240" />
		<Dimension
			from={[380, 130]}
			to={[400, 130]}
			foot={[
				[380, 150],
				[400, 150],
			]}
			label=""
		/>
		<g class="scribe">
			<path class="scribe-thin" d="M400 130h60" />
			<text x="468" y="137">
				{label}
			</text>
		</g>
	</g>
);

const straight: Draw = (label) => (
	<g>
		<path class="line" d="M140 110H620V190H140Z" />
		<path class="axis" d="M100 150H660" />
		<path class="thin" d="M188 150l-18 -6v12z" />
		<Dimension
			from={[140, 240]}
			to={[620, 240]}
			foot={[
				[140, 150],
				[620, 150],
			]}
			label={label}
		/>
	</g>
);

const turn: Draw = (label) => (
	<Bend>
		<g class="scribe">
			<path class="scribe-thin" d="M330 230H560" />
			<path class="scribe-thin" d="M450 230V60" />
			<path d="M530 230A80 80 0 0 0 450 150" />
			<path class="scribe-fill" d="M450 150l11 -5v11z" />
			<text x="526" y="170">
				{label}
			</text>
		</g>
	</Bend>
);

const clr: Draw = (label) => (
	<Bend>
		<Dimension from={[330, 110]} to={[415, 195]} label={`CLR ${label}`} />
	</Bend>
);

// Seen along the flow, a right-hand turn about it goes clockwise.
const rotation: Draw = (label, isFirst) => (
	<g>
		<circle class="line" cx="380" cy="160" r="70" />
		<path class="axis" d="M380 250V40M290 160h180" />
		<path class="thin" d="M380 40l-5 12h10z" />
		<text x="392" y="48">
			{isFirst ? measure.planeUp : measure.planeBefore}
		</text>
		<g class="scribe">
			<path class="scribe-thin" d="M380 160L470 105" />
			<path d="M380 70A90 90 0 0 1 457 114" />
			<path class="scribe-fill" d="M459 118l-12 -5l9 -8z" />
			<text x="480" y="104">{`+ ${label}`}</text>
		</g>
		<text x="380" y="288" text-anchor="middle">
			{measure.alongFlow}
		</text>
	</g>
);

// One cylinder with piston, rod and crank.
function Cylinder({ children }: { children?: preact.ComponentChildren }) {
	return (
		<g>
			<path class="line" d="M300 20V170M460 20V170M300 20H460" />
			<path class="line" d="M304 70H456V125H304Z" />
			<path class="axis" d="M380 10V290" />
			<path class="line" d="M380 98L412 238" />
			<circle class="thin" cx="380" cy="98" r="8" />
			<circle class="thin" cx="412" cy="238" r="8" />
			<circle class="axis" cx="380" cy="250" r="34" />
			{children}
		</g>
	);
}

// A block seen from above. How many cylinders it has is what is asked; this one has three.
const cylinders: Draw = (label) => (
	<g>
		<path class="line" d="M210 70H550V190H210Z" />
		<path class="axis" d="M190 130H570" />
		<g class="scribe">
			{[270, 380, 490].map((x) => (
				<circle key={x} cx={x} cy="130" r="46" />
			))}
			<text x="380" y="226" text-anchor="middle">
				{label}
			</text>
		</g>
	</g>
);

const bore: Draw = (label) => (
	<Cylinder>
		<Dimension from={[300, 58]} to={[460, 58]} label={label} />
	</Cylinder>
);

const stroke: Draw = (label) => (
	<Cylinder>
		<path class="thin" d="M304 138H456" />
		<Dimension
			from={[520, 138]}
			to={[520, 70]}
			foot={[
				[456, 138],
				[456, 70],
			]}
			label={label}
		/>
	</Cylinder>
);

const rod: Draw = (label) => (
	<Cylinder>
		<Dimension
			from={[520, 98]}
			to={[552, 238]}
			foot={[
				[380, 98],
				[412, 238],
			]}
			label={label}
		/>
	</Cylinder>
);

const valveToFace: Draw = (label) => (
	<g>
		<path class="line" d="M200 60C330 60 380 120 560 120M200 150C300 150 380 200 560 200" />
		<path class="line" d="M560 70V250M200 50V160" />
		<path class="axis" d="M180 105C330 105 380 160 620 160" />
		<Dimension
			from={[200, 262]}
			to={[560, 262]}
			foot={[
				[200, 105],
				[560, 160],
			]}
			label={label}
		/>
	</g>
);

const targetLength: Draw = (label) => (
	<g>
		<path class="line" d="M130 60V200M130 100H300A70 70 0 0 1 370 170V180A50 50 0 0 0 420 230H620" />
		<path class="line" d="M130 150H290A30 30 0 0 1 320 180V190A90 90 0 0 0 410 280H620" />
		<g class="scribe">
			<path d="M130 125H295A50 50 0 0 1 345 175V185A70 70 0 0 0 415 255H620" />
			<circle class="scribe-fill" cx="130" cy="125" r="5" />
			<circle class="scribe-fill" cx="620" cy="255" r="5" />
			<text x="440" y="205">
				{label}
			</text>
		</g>
	</g>
);

const thickness: Draw = (label) => (
	<g>
		<path class="line" d="M330 40H390V260H330Z" />
		<path class="thin" d="M390 110H620M390 190H620" />
		<Dimension
			from={[330, 276]}
			to={[390, 276]}
			foot={[
				[330, 260],
				[390, 260],
			]}
			label=""
		/>
		<g class="scribe">
			<text x="404" y="282">
				{label}
			</text>
		</g>
	</g>
);

const tape: Draw = (label) => (
	<g>
		<circle class="line" cx="170" cy="190" r="26" />
		<path class="axis" d="M130 190h80M170 150v80" />
		<circle class="dot" cx="600" cy="110" r="6" />
		<Dimension from={[170, 190]} to={[600, 110]} label={label} />
	</g>
);

const FIGURES: Record<string, Draw> = {
	"tape/distance": tape,
	"tube/od": ring,
	"tube/wall": wall,
	"element/length": straight,
	"element/turn": turn,
	"element/clr": clr,
	"element/rotation": rotation,
	"engine/cylinders": cylinders,
	"engine/bore": bore,
	"engine/stroke": stroke,
	"engine/rod": rod,
	"engine/valve_to_face": valveToFace,
	"target/length": targetLength,
	"bank/thickness": thickness,
};

// The rotation of a tube's first bend counts from up: there is no bend before.
function isFirstBend(job: string, id: string): boolean {
	const tube = listOf(job, "element").find((e) => e.id === id)?.parent;
	return listOf(job, "element", tube).find((e) => word(job, `element/${e.id}/type`) === "bend")?.id === id;
}
