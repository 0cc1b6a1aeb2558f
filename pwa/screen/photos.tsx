import { bringBackPhoto, type Photo, photosOf, takenOut } from "../lib/photos";
import { photo } from "../lib/textphoto";
import { Page } from "../part/page";
import { PhotoButton } from "../part/photobutton";
import { Strip } from "../part/photos";
import { shownBy } from "../part/shownby";

// <JobPhotos job={…}> shows all photos of a job by what they show, and those that were taken out.
// Props: job.  Calls: takePhoto (through its buttons), bringBackPhoto, go.
export function JobPhotos({ job }: { job: string }) {
	const groups = new Map<string, Photo[]>();
	for (const p of photosOf(job)) groups.set(p.slot, [...(groups.get(p.slot) ?? []), p]);
	const out = takenOut(job);
	return (
		<Page
			title={photo.photos}
			back={{ screen: "job", job }}
			foot={
				<div class="row photo-foot">
					<PhotoButton job={job} slot="job/self/photo" />
					<PhotoButton job={job} slot="job/self/photo" gallery />
				</div>
			}
		>
			{groups.size === 0 && <p class="soft">{photo.none}</p>}
			{[...groups].map(([slot, photos]) => (
				<section key={slot} class="card stack photo-group">
					<h2>{shownBy(job, slot)}</h2>
					<Strip photos={photos} />
				</section>
			))}
			{out.length > 0 && (
				<details class="removed">
					<summary data-test="photos-out">{photo.takenOutCount(out.length)}</summary>
					<ul class="stack">
						{out.map((p) => (
							<li key={p.id} class="row">
								<Strip photos={[p]} />
								<span class="grow">{shownBy(job, p.slot)}</span>
								<button
									type="button"
									data-test={`bring-back:${p.sha}`}
									onClick={() => bringBackPhoto(p).catch(() => {})}
								>
									{photo.bringBack}
								</button>
							</li>
						))}
					</ul>
				</details>
			)}
		</Page>
	);
}
