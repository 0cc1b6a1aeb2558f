import { photosOf } from "../lib/photos";
import { go } from "../lib/state";
import { photo } from "../lib/textphoto";
import { PhotoButton } from "./photobutton";
import { Strip } from "./photos";

const SHOWN = 8;

// <JobPhotosCard job={…}> is the part of a job's front that is about photos: the button, the latest ones, and
// the way to all of them.
// Props: job.  Calls: takePhoto (through its button), go.
export function JobPhotosCard({ job }: { job: string }) {
	const all = photosOf(job);
	return (
		<section class="card stack" data-test="job-photos">
			<div class="row">
				<h2 class="grow">{photo.photos}</h2>
				<button
					type="button"
					class="plain"
					data-test="all-photos"
					onClick={() => go({ screen: "photos", job })}
				>
					{photo.all(all.length)}
				</button>
				<PhotoButton job={job} slot="job/self/photo" />
			</div>
			<Strip photos={all.slice(-SHOWN).reverse()} />
		</section>
	);
}
