// The front page: a chosen file is opened at once.
const file = document.getElementById('import-file');
file?.addEventListener('change', () => { if (file.files.length) file.form.requestSubmit(); });
