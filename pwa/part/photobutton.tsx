import { photo } from "../lib/textphoto";
import { Camera } from "./camera";
import { takePhoto } from "./phototaker";

interface PhotoButtonProps {
	job: string;
	slot: string;
	of?: string;
	what?: string;
	gallery?: boolean;
}

// <PhotoButton job={…} slot="port/p1/width"> opens the camera for a photo of what the slot shows.
// Props: job, slot, of (id of the record that the open form makes), what (for readers), gallery (pick one
// that was taken before instead).  Calls: takePhoto.
export function PhotoButton({ job, slot, of = "", what = "", gallery }: PhotoButtonProps) {
	return (
		<button
			type="button"
			class="photo-button"
			{...(what !== "" && { "aria-label": photo.title(what) })}
			data-test={`${gallery ? "gallery" : "photo"}:${slot}`}
			onClick={() => takePhoto({ job, slot, of }, gallery ? "gallery" : "camera")}
		>
			{!gallery && <Camera />}
			<span>{gallery ? photo.gallery : photo.photo}</span>
		</button>
	);
}
