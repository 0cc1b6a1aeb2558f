// The drawing in three dimensions on its canvas. It draws when something changed and
// at no other time, and gives everything back when it is left.

import {
	type BufferGeometry,
	DirectionalLight,
	HemisphereLight,
	LineSegments,
	Matrix4,
	Mesh,
	type Object3D,
	OrthographicCamera,
	Raycaster,
	Scene,
	Vector2,
	Vector3,
	WebGLRenderer,
} from "three";
import type { Item, Layer } from "../../lib/solid/model";
import { axesOf, type Sight } from "../../lib/solid/sight";
import { add, times } from "../../lib/solid/vec";
import type { Point } from "../../lib/types";
import { geometryOf, isLines, type Reach } from "./build";
import { Paint } from "./paint";

export interface Told {
	drawn(wide: number, high: number): void;
	lost(): void; // the graphics card took its memory back
}

/** What is hit by a finger's tip when nothing lies right under its middle, px. */
const TIP_PX = [0, 12, 24];
const SAMPLES = 200; // points of a surface that the picture is fitted to
const AWAY = 50_000; // mm from the eye to the middle; parallel lines, so that any distance does
const NO_REACH: Reach = { middle: [0, 0, 0], radius: 250 };

/** A page without WebGL. */
export class NoGraphics extends Error {}

interface Piece {
	item: Item;
	geometry: BufferGeometry;
	object: Mesh | LineSegments;
	veil: Mesh | null; // of what is seen through: drawn before it, so that its inside does not show
}

/** What is drawn over what: solid metal, what is around, uncertainty, what was touched. */
const ORDER: Record<Layer, number> = { head: 0, planned: 0, around: 1, doubt: 3, measured: 5, fixture: 0 };

export class Stage {
	sight: Sight;
	marked = "";
	private renderer: WebGLRenderer;
	private scene = new Scene();
	private camera = new OrthographicCamera();
	private sun = new DirectionalLight(0xffffff, 2.1);
	private pieces: Piece[] = [];
	private paint: Paint;
	private hidden = new Set<Layer>();
	private frame = 0;
	private watch: ResizeObserver;
	private schemes = ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"].map((q) => matchMedia(q));

	/** The canvas is put into host, whose size it takes. It throws NoGraphics where there is no WebGL. */
	constructor(
		private host: HTMLElement,
		sight: Sight,
		private told: Told,
	) {
		this.sight = sight;
		const canvas = document.createElement("canvas");
		const context = canvas.getContext("webgl2", {
			antialias: true,
			alpha: false,
			powerPreference: "low-power",
		});
		if (!context) throw new NoGraphics();
		this.renderer = new WebGLRenderer({ canvas, context, antialias: true });
		this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
		this.paint = new Paint(host);
		this.scene.add(this.sun, new HemisphereLight(0xffffff, 0x8899aa, 1.7));
		host.append(canvas);
		canvas.addEventListener("webglcontextlost", this.gone);
		this.watch = new ResizeObserver(() => this.wake());
		this.watch.observe(host);
		for (const s of this.schemes) s.addEventListener("change", this.repaint);
	}

	/** show puts these things on the stage in place of those before. */
	show(items: Item[]): void {
		this.clear();
		const ended = items.filter((i) => i.solid.shape !== "grid");
		const endless = items.filter((i) => i.solid.shape === "grid");
		for (const i of ended) this.add(i, NO_REACH);
		const reach = reachOf(this.reach());
		for (const i of endless) this.add(i, reach);
		this.dress();
		this.host.dataset.meshes = String(this.pieces.filter((p) => p.object instanceof Mesh).length);
		this.host.dataset.triangles = String(
			this.pieces.reduce(
				(n, p) => n + (p.object instanceof Mesh ? (p.geometry.index?.count ?? 0) / 3 : 0),
				0,
			),
		);
	}

	/** hide leaves layers out. */
	hide(layers: Iterable<Layer>): void {
		this.hidden = new Set(layers);
		this.dress();
	}

	/** mark draws one thing brightly, "" for none. */
	mark(of: string): void {
		this.marked = of;
		this.dress();
	}

	look(sight: Sight): void {
		this.sight = sight;
		this.wake();
	}

	/** reach are points all over what is shown and has an end: enough to fit the picture to it. */
	reach(): Point[] {
		return this.pieces.flatMap(({ item, geometry }): Point[] => {
			if (this.hidden.has(item.layer) || item.solid.shape === "grid" || item.layer === "doubt") return [];
			const at = geometry.getAttribute("position");
			const step = Math.max(1, Math.floor(at.count / SAMPLES));
			return Array.from({ length: Math.ceil(at.count / step) }, (_, k): Point => {
				const i = k * step;
				return [at.getX(i), at.getY(i), at.getZ(i)];
			});
		});
	}

	/** at names what lies under a finger, "" for nothing. Sleeves of uncertainty are looked through. */
	at(x: number, y: number): string {
		const [wide, high] = this.size();
		const solid = this.pieces.filter(
			({ item, object }) =>
				object instanceof Mesh && object.visible && item.of !== "" && item.layer !== "doubt",
		);
		const by = new Map<Object3D, Item>(solid.map((p) => [p.object, p.item]));
		const ray = new Raycaster();
		this.aim(wide, high);
		this.camera.updateMatrixWorld();
		for (const tip of TIP_PX)
			for (let k = 0; k < (tip === 0 ? 1 : 8); k++) {
				const [px, py] = [x + tip * Math.cos((k * Math.PI) / 4), y + tip * Math.sin((k * Math.PI) / 4)];
				ray.setFromCamera(new Vector2((px / wide) * 2 - 1, 1 - (py / high) * 2), this.camera);
				const hit = ray.intersectObjects([...by.keys()], false)[0];
				if (hit) return by.get(hit.object)?.of ?? "";
			}
		return "";
	}

	/** dispose gives memory and context back; the stage cannot be used any more. */
	dispose(): void {
		cancelAnimationFrame(this.frame);
		this.watch.disconnect();
		for (const s of this.schemes) s.removeEventListener("change", this.repaint);
		this.renderer.domElement.removeEventListener("webglcontextlost", this.gone);
		this.clear();
		this.paint.dispose();
		this.renderer.dispose();
		if (!this.renderer.getContext().isContextLost()) this.renderer.forceContextLoss();
		this.renderer.domElement.remove();
	}

	/** wake draws once, soon. */
	wake(): void {
		if (this.frame === 0) this.frame = requestAnimationFrame(() => this.draw());
	}

	private add(item: Item, reach: Reach): void {
		const geometry = geometryOf(item.solid, reach);
		const paint = this.paint.of(item.coat, false);
		const object = isLines(item.solid) ? new LineSegments(geometry, paint) : new Mesh(geometry, paint);
		object.renderOrder = ORDER[item.layer] + 1;
		const isClear = item.layer === "around" || item.layer === "doubt";
		const veil = isClear && object instanceof Mesh ? new Mesh(geometry, this.paint.depth()) : null;
		if (veil) {
			veil.renderOrder = ORDER[item.layer];
			object.add(veil);
		}
		this.pieces.push({ item, geometry, object, veil });
		this.scene.add(object);
	}

	private clear(): void {
		for (const { object, geometry } of this.pieces) {
			this.scene.remove(object);
			geometry.dispose();
		}
		this.pieces = [];
	}

	private dress(): void {
		for (const { item, object, veil } of this.pieces) {
			if (veil) veil.material = this.paint.depth();
			object.visible = !this.hidden.has(item.layer);
			object.material = this.paint.of(item.coat, item.of !== "" && item.of === this.marked);
		}
		this.wake();
	}

	private repaint = (): void => {
		this.paint.dispose();
		this.paint = new Paint(this.host);
		this.dress();
	};

	private gone = (e: Event): void => {
		e.preventDefault();
		this.told.lost();
	};

	private size = (): [number, number] => [
		Math.max(1, this.host.clientWidth),
		Math.max(1, this.host.clientHeight),
	];

	private draw(): void {
		this.frame = 0;
		const [wide, high] = this.size();
		const was = this.renderer.getSize(new Vector2());
		if (was.x !== wide || was.y !== high) this.renderer.setSize(wide, high);
		this.renderer.setClearColor(this.paint.ground);
		this.aim(wide, high);
		this.renderer.render(this.scene, this.camera);
		this.host.dataset.frames = String(Number(this.host.dataset.frames ?? 0) + 1);
		this.told.drawn(wide, high);
	}

	private aim(wide: number, high: number): void {
		const { right, up, out } = axesOf(this.sight);
		const c = this.camera;
		const half = this.sight.span;
		[c.left, c.right, c.top, c.bottom] = [(-half * wide) / high, (half * wide) / high, half, -half];
		[c.near, c.far] = [1, 2 * AWAY];
		c.updateProjectionMatrix();
		c.position.set(...add(this.sight.at, times(out, AWAY)));
		c.quaternion.setFromRotationMatrix(
			new Matrix4().makeBasis(new Vector3(...right), new Vector3(...up), new Vector3(...out)),
		);
		// The light comes over the left shoulder, wherever one looks from.
		this.sun.position.set(...add(out, add(times(up, 0.9), times(right, -0.6))));
	}
}

function reachOf(points: Point[]): Reach {
	if (points.length === 0) return NO_REACH;
	const range = [0, 1, 2].map((k) => {
		const along = points.map((p) => p[k as 0 | 1 | 2]);
		return [Math.min(...along), Math.max(...along)] as const;
	});
	const middle = range.map(([a, b]) => (a + b) / 2) as Point;
	return { middle, radius: Math.max(...range.map(([a, b]) => (b - a) / 2)) };
}
