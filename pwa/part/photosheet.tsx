import { useRef, useState } from "preact/hooks";
import { marksOf, type Photo, type Places, type Shape } from "../lib/photos";
import { photo as photoWords } from "../lib/textphoto";
import { turned } from "../lib/turned";
import { Cross, PhotoMarkShape } from "./photomark";
import { usePhoto } from "./photos";

/** A place on the upright picture, millionths. */
export type Place = [number, number];

interface PhotoSheetProps {
	photo: Photo;
	tool: Shape | null;
	first: Place | null;
	onTap: (at: Place) => void;
	onDrag: (points: Places) => void;
}

const DRAG_PX = 14; // a finger that moves less meant a tap

// <PhotoSheet photo={…}> shows a photo upright with its marks over it. With a tool a tap gives one place and a
// drag two; without one it is only looked at.
// Props: photo, tool (null to look), first (the place that was tapped before).  Calls: onTap, onDrag.
export function PhotoSheet({ photo, tool, first, onTap, onDrag }: PhotoSheetProps) {
	const { w, h, turn, preview, sha } = photo;
	const whole = usePhoto(sha);
	const svg = useRef<SVGSVGElement>(null);
	const down = useRef<{ x: number; y: number; at: Place } | null>(null);
	const [drag, setDrag] = useState<Places | null>(null);
	const size = { w, h };

	const place = (e: PointerEvent): Place => {
		const onScreen = svg.current?.getScreenCTM();
		const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(onScreen?.inverse());
		return [millionths(p.x / w), millionths(p.y / h)];
	};
	const isDrag = (e: PointerEvent) =>
		down.current !== null && Math.hypot(e.clientX - down.current.x, e.clientY - down.current.y) > DRAG_PX;
	const begin = (e: PointerEvent) => {
		if (!tool || !e.isPrimary) return;
		down.current = { x: e.clientX, y: e.clientY, at: place(e) };
		svg.current?.setPointerCapture?.(e.pointerId);
	};
	const move = (e: PointerEvent) => {
		if (down.current && tool !== "text" && isDrag(e)) setDrag([...down.current.at, ...place(e)]);
	};
	const end = (e: PointerEvent) => {
		const from = down.current;
		down.current = null;
		setDrag(null);
		if (!from) return;
		if (tool !== "text" && Math.hypot(e.clientX - from.x, e.clientY - from.y) > DRAG_PX)
			onDrag([...from.at, ...place(e)]);
		else onTap(from.at);
	};
	return (
		<figure class="photo-sheet">
			<svg
				ref={svg}
				viewBox={`0 0 ${w} ${h}`}
				width={w}
				height={h}
				class={tool ? "photo-draw" : ""}
				role="img"
				aria-label={photoWords.photo}
				data-test="photo-sheet"
				data-shown={whole.url !== ""}
				onPointerDown={begin}
				onPointerMove={move}
				onPointerUp={end}
				onPointerCancel={() => {
					down.current = null;
					setDrag(null);
				}}
			>
				{preview && <Picture sha={preview.sha} w={w} h={h} />}
				{whole.url !== "" && <Turned url={whole.url} turn={turn} w={w} h={h} />}
				{marksOf(photo.job, sha).map((m) => (
					<PhotoMarkShape key={m.id} {...m} size={size} />
				))}
				{drag && tool && <PhotoMarkShape shape={tool} points={drag} text="" size={size} />}
				{first && !drag && <Cross at={first} size={size} />}
			</svg>
			{whole.why !== "" && (
				<figcaption class="soft" data-test="photo-why">
					{said(whole.why, photo.person)}
				</figcaption>
			)}
		</figure>
	);
}

// The preview lies below until the photo is there.
function Picture({ sha, w, h }: { sha: string; w: number; h: number }) {
	const { url } = usePhoto(sha);
	return url === "" ? null : <image href={url} width={w} height={h} preserveAspectRatio="none" />;
}

// An original that could not be reduced still has its turn to be applied.
function Turned({ url, turn, w, h }: { url: string; turn: number; w: number; h: number }) {
	const [sw, sh] = turn >= 5 ? [h, w] : [w, h];
	return <image href={url} width={sw} height={sh} transform={`matrix(${turned(turn, sw, sh).join(" ")})`} />;
}

const said = (why: string, person: string) =>
	({
		loading: photoWords.loading,
		away: photoWords.previewOnly(person),
		offline: photoWords.offline,
		gone: photoWords.gone,
	})[why] ?? "";

const millionths = (v: number) => Math.round(Math.min(1, Math.max(0, v)) * 1e6);
