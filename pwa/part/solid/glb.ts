// The header as a file for other programs: glTF 2.0 in one binary file. Its unit is the
// metre (glTF 2.0 specification, section 3.4), ours the millimetre; its y is up, as ours.

import { Mesh, MeshStandardMaterial, Scene } from "three";
import { GLTFExporter } from "three/addons/exporters/GLTFExporter.js";
import type { Item } from "../../lib/solid/model";
import { geometryOf, isLines } from "./build";

const METRE = 0.001;
const TYPE = "model/gltf-binary";

/** headerOf is what of a drawing belongs to the header and is metal. */
export const headerOf = (items: Item[]): Item[] =>
	items.filter((i) => (i.layer === "planned" || i.layer === "head") && !isLines(i.solid));

/** glbOf makes the file; each part is a node with its name. */
export async function glbOf(items: Item[], name: string): Promise<File> {
	const scene = new Scene();
	const metal = new MeshStandardMaterial({ color: 0x9aa4ad, metalness: 0.7, roughness: 0.45 });
	const parts = headerOf(items).map((i) => {
		const geometry = geometryOf(i.solid, { middle: [0, 0, 0], radius: 0 }).scale(METRE, METRE, METRE);
		const part = new Mesh(geometry, metal);
		part.name = i.name;
		return part;
	});
	scene.name = "header, in metres";
	scene.add(...parts);
	try {
		const bytes = (await new GLTFExporter().parseAsync(scene, { binary: true })) as ArrayBuffer;
		return new File([bytes], name, { type: TYPE });
	} finally {
		for (const p of parts) p.geometry.dispose();
		metal.dispose();
	}
}
