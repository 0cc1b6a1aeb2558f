import { useEffect, useState } from "preact/hooks";
import { letGo, type Photo, photosFor, photosOf, photoURL, type Shown, wherePhoto } from "../lib/photos";
import { moment } from "../lib/say";
import { go } from "../lib/state";
import { text } from "../lib/text";
import { photo as photoWords } from "../lib/textphoto";
import { Bars } from "./bars";
import { now } from "./now";
import { photoRoute, shownBy } from "./shownby";

interface PhotosProps {
	job: string;
	slot: string;
	of?: string;
}

// <Photos job={…} slot="port/p1/width"> is the strip of a slot's photos: previews, each with where it is
// saved; a tap opens one. It takes no room where there are none.
// Props: job, slot, of (only photos that were taken for this reading).  Calls: go.
export function Photos({ job, slot, of }: PhotosProps) {
	return <Strip photos={of === undefined ? photosOf(job, slot) : photosFor(job, slot, of)} />;
}

// <Strip photos={…}> is a row of previews.
// Props: photos.  Calls: go.
export function Strip({ photos }: { photos: Photo[] }) {
	if (photos.length === 0) return null;
	return (
		<ul class="photos" aria-label={photoWords.photos}>
			{photos.map((p, i) => (
				<li key={p.id}>
					<Thumb photo={p} n={i + 1} />
				</li>
			))}
		</ul>
	);
}

function Thumb({ photo, n }: { photo: Photo; n: number }) {
	const { job, slot, sha } = photo;
	const where = wherePhoto(photo);
	return (
		<button
			type="button"
			class="thumb"
			aria-label={photoWords.open(n, shownBy(job, slot))}
			data-test={`thumb:${sha}`}
			onClick={() => go(photoRoute(job, slot, sha))}
		>
			<Preview photo={photo} />
			<span class="thumb-foot">
				{where && <Bars at={where} words="" />}
				<span>{moment(photo.at, now.value)}</span>
			</span>
		</button>
	);
}

// A photo without a preview is an original that could not be reduced: it is shown itself, turned.
function Preview({ photo }: { photo: Photo }) {
	const { url } = usePhoto(photo.preview?.sha ?? photo.sha);
	if (url === "") return <span class="thumb-none">{text.none}</span>;
	return <img src={url} alt="" class={`turn-${photo.preview ? 1 : photo.turn}`} />;
}

/** usePhoto gives a picture to show for as long as the component stands. */
export function usePhoto(sha: string): Shown {
	const [shown, setShown] = useState<Shown>({ url: "", why: "loading" });
	useEffect(() => {
		const off = photoURL(sha).subscribe(setShown);
		return () => {
			off();
			letGo(sha);
		};
	}, [sha]);
	return shown;
}
