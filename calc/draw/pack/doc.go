// Package pack makes the papers of a record pack: what somebody needs who is to build a
// header once more, or to repair it, without the car, and perhaps without this program.
// They go behind records and photos into one archive (store/ARCHIVE.md): the job as a job
// file, its plan, every sheet that can be made, and an index that says what each file is
// and where in the pack a thing is found.
package pack
